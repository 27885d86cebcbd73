package xapi

import (
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/store"
)

func TestMain(m *testing.M) { classtest.Main(m) }

var attempt = Attempt{
	Home: "http://192.168.1.10:8738", ID: "0123", Trainee: "4567", Class: "89ab", Exercise: "painted-panel", Title: "Painted panel",
	Summary: "A flat panel.", At: time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC), Lasted: 754 * time.Second, Technique: 83.5, Passed: true,
	Findings: []string{"edge-near"},
}

func TestStatementsKeepTheRules(t *testing.T) {
	for _, s := range []Statement{attempt.Begun(), attempt.Ended(), (Attempt{Home: attempt.Home, ID: "x", Trainee: "y", Class: "z", Exercise: "e", Title: "t"}).Ended()} {
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		if err := Validate(text); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// The UUID of a name is the one RFC 4122 defines; the value is that of Python's
// uuid.uuid5(uuid.NAMESPACE_URL, "http://www.example.com/").
func TestNameBasedUUID(t *testing.T) {
	if got, want := UUID("http://www.example.com/"), "fcde3c85-2270-590f-9e7c-ee003d65e0e2"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestTheRulesRefuse(t *testing.T) {
	good, err := json.Marshal(attempt.Ended())
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string][2]string{
		"no UUID":             {`"id":"` + attempt.Ended().ID, `"id":"17`},
		"verb no IRI":         {`"http://adlnet.gov/expapi/verbs/passed"`, `"passed"`},
		"score over one":      {`"scaled":0.835`, `"scaled":1.5`},
		"raw over max":        {`"raw":83.5`, `"raw":183.5`},
		"duration":            {`"PT754.00S"`, `"754 s"`},
		"timestamp":           {`"2026-03-09T10:00:00.000Z"`, `"9 March"`},
		"null":                {`"success":true`, `"success":null`},
		"unknown property":    {`"completion":true`, `"complete":true`},
		"two ways to name":    {`"objectType":"Agent"`, `"objectType":"Agent","mbox":"mailto:a@b.c"`},
		"language":            {`"display":{"en"`, `"display":{"english language"`},
		"registration":        {`"registration":"`, `"registration":"x`},
		"relative activity":   {`"id":"http://192.168.1.10:8738/exercise/painted-panel"`, `"id":"painted-panel"`},
		"home page":           {`"homePage":"http://192.168.1.10:8738"`, `"homePage":"here"`},
		"success as a text":   {`"success":true`, `"success":"yes"`},
		"extension not named": {`"http://192.168.1.10:8738/xapi/findings"`, `"findings"`},
	} {
		bad := strings.Replace(string(good), change[0], change[1], 1)
		if bad == string(good) {
			t.Errorf("%s: the change changes nothing", name)
		}
		if Validate([]byte(bad)) == nil {
			t.Errorf("%s is taken: %s", name, bad)
		}
	}
}

// A record store that is away, refuses, and loses its own answers: in the end
// every statement is there once.
func TestOutboxSendsEachOnce(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		st := open()
		defer st.Close()
		var mu sync.Mutex
		tries, kept := 0, map[string]string{}
		lrs := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			mu.Lock()
			defer mu.Unlock()
			body, _ := io.ReadAll(r.Body)
			if r.Header.Get("X-Experience-API-Version") == "" || r.Method != http.MethodPut {
				t.Errorf("%s without version", r.Method)
			}
			tries++
			switch tries {
			case 1:
				http.Error(w, "later", http.StatusServiceUnavailable)
				return
			case 2:
				kept[r.URL.Query().Get("statementId")] = string(body) // kept, but the answer is lost
				panic(http.ErrAbortHandler)
			}
			id := r.URL.Query().Get("statementId")
			if before, ok := kept[id]; ok && before != string(body) {
				t.Errorf("the same id with another statement")
			}
			kept[id] = string(body)
			w.WriteHeader(http.StatusNoContent)
		}))
		defer lrs.Close()
		o := &Outbox{Store: st, Address: lrs.URL, Client: lrs.Client(), Log: slog.New(slog.DiscardHandler)}
		for range 2 { // twice: an end that is told again after a crash
			if err := st.Write(t.Context(), func(tx *store.Tx) error {
				if err := Put(tx, attempt.Begun()); err != nil {
					return err
				}
				return Put(tx, attempt.Ended())
			}); err != nil {
				t.Fatal(err)
			}
		}
		for range 10 {
			o.Send(t.Context())
			if err := st.Write(t.Context(), func(tx *store.Tx) error { return tx.Exec("update outbox set due = 0") }); err != nil {
				t.Fatal(err)
			}
		}
		if len(kept) != 2 {
			t.Errorf("the record store has %d statements, want 2", len(kept))
		}
		if due, err := st.Due(t.Context(), store.Now(), 10); err != nil || len(due) != 0 {
			t.Errorf("%d statements still wait, %v", len(due), err)
		}
		if tries != 4 {
			t.Errorf("%d requests, want 4: two that failed and one more for each", tries)
		}
	})
}

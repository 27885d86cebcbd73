//go:build browser

package cmi5

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"foilwright/internal/browsertest"
	"foilwright/internal/class/xapi"
)

// A stand-in for a learning management system launches the script in Chromium:
// statements come in the order the rules ask for, each by itself in order.
func TestLaunchInABrowser(t *testing.T) {
	script, err := runtime.ReadFile("cmi5.js")
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var got []map[string]any
	var faults []string
	fetched := 0
	mux := http.NewServeMux()
	mux.HandleFunc("GET /cmi5.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		w.Write(script)
	})
	mux.HandleFunc("GET /index.html", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		// The bench would call foilwrightFinished; then the learner leaves the page.
		io.WriteString(w, `<!doctype html><script src="cmi5.js"></script><script>
			setTimeout(() => foilwrightFinished('{"technique":52.5,"passed":false}'), 800);
			setTimeout(() => foilwrightFinished('{"technique":91,"passed":true}'), 1600);
			setTimeout(() => foilwrightFinished('{"technique":95,"passed":true}'), 2200);
			setTimeout(() => { location.href = "/left.html" }, 3200);
		</script>`)
	})
	mux.HandleFunc("GET /left.html", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, "<!doctype html>left")
	})
	mux.HandleFunc("POST /fetch", func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		fetched++
		mu.Unlock()
		io.WriteString(w, `{"auth-token":"dG9rZW4="}`)
	})
	mux.HandleFunc("GET /lrs/activities/state", func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Authorization") != "Basic dG9rZW4=" || r.URL.Query().Get("stateId") != "LMS.LaunchData" {
			mu.Lock()
			faults = append(faults, "launch data asked for without the token")
			mu.Unlock()
		}
		io.WriteString(w, `{"launchMode":"Normal","masteryScore":0.7,"moveOn":"Passed","contextTemplate":{"contextActivities":{"grouping":[{"objectType":"Activity","id":"http://lms.example/course"}]},"extensions":{"https://w3id.org/xapi/cmi5/context/extensions/sessionid":"s1"}}}`)
	})
	mux.HandleFunc("GET /lrs/agents/profile", func(w http.ResponseWriter, r *http.Request) { http.NotFound(w, r) })
	mux.HandleFunc("PUT /lrs/statements", func(w http.ResponseWriter, r *http.Request) {
		body, _ := io.ReadAll(r.Body)
		mu.Lock()
		defer mu.Unlock()
		if err := xapi.Validate(body); err != nil {
			faults = append(faults, err.Error()+" in "+string(body))
		}
		var s map[string]any
		if json.Unmarshal(body, &s) == nil {
			got = append(got, s)
			if s["id"] != r.URL.Query().Get("statementId") {
				faults = append(faults, "statementId is not the statement's id")
			}
		}
		w.WriteHeader(http.StatusNoContent)
	})
	lms := httptest.NewServer(mux)
	defer lms.Close()
	query := url.Values{
		"endpoint": {lms.URL + "/lrs/"}, "fetch": {lms.URL + "/fetch"}, "registration": {"760e3480-ba55-4991-94b0-01820dbd23a2"},
		"activityId": {"http://lms.example/panel"}, "actor": {`{"objectType":"Agent","account":{"homePage":"http://lms.example","name":"7"}}`},
	}
	ctx, cancel := context.WithTimeout(t.Context(), 90*time.Second)
	defer cancel()
	browser := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
		"--user-data-dir="+browsertest.Profile(t), "--remote-debugging-port=0", lms.URL+"/index.html?"+query.Encode())
	var complaint bytes.Buffer
	browser.Stderr = &complaint
	if err := browser.Start(); err != nil {
		t.Fatal(err)
	}
	verbs := func() string {
		mu.Lock()
		defer mu.Unlock()
		var list []string
		for _, s := range got {
			id, _ := s["verb"].(map[string]any)["id"].(string)
			list = append(list, id[strings.LastIndex(id, "/")+1:])
		}
		return strings.Join(list, " ")
	}
	for end := time.Now().Add(60 * time.Second); time.Now().Before(end) && !strings.Contains(verbs(), "terminated"); {
		time.Sleep(100 * time.Millisecond)
	}
	browser.Process.Kill()
	browser.Wait()
	if want := "initialized failed passed terminated"; verbs() != want {
		t.Errorf("statements %q, want %q; chromium said %.1500s", verbs(), want, complaint.String())
	}
	mu.Lock()
	defer mu.Unlock()
	for _, f := range faults {
		t.Error(f)
	}
	if fetched != 1 {
		t.Errorf("the token was fetched %d times; it may be fetched once", fetched)
	}
	for _, s := range got {
		text, _ := json.Marshal(s["context"])
		for _, part := range []string{"https://w3id.org/xapi/cmi5/context/categories/cmi5", "sessionid", "http://lms.example/course"} {
			if !strings.Contains(string(text), part) {
				t.Errorf("the context of %v lacks %s", s["verb"], part)
			}
		}
	}
}

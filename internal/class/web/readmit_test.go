package web

import (
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"
)

var oneTime = regexp.MustCompile(`class="joincode">([A-Z0-9]{12})<`)

// Somebody whose machine is lost goes on elsewhere by a code that works once
// and not for long.
func TestATraineeComesBackOnAnotherMachine(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ana := s.join(class, "Ana Brook")
	other := s.someone()
	status, body := other.post("/join", "code", class.Code, "name", "ana  brook")
	if status != http.StatusConflict || !strings.Contains(body, "one-time code") || !strings.Contains(body, `value="`+class.Code+`"`) {
		t.Errorf("her name is taken, and the form is there again: %d %s", status, body)
	}
	code := func() string {
		t.Helper()
		_, body := ines.post("/class/"+class.ID+"/readmit", "trainee", ana.id)
		found := oneTime.FindStringSubmatch(body)
		if found == nil {
			t.Fatalf("no code in %s", body)
		}
		return found[1]
	}
	old, newer, late := code(), code(), ""
	if status, _ := other.post("/join", "code", old, "name", "x"); status != http.StatusNotFound {
		t.Errorf("a code that was replaced by another works: %d", status)
	}
	other.must("/join", "code", newer, "name", "whoever")
	if status, body := other.get("/bench/"); status != http.StatusOK || body != "the bench" {
		t.Errorf("she is not back: %d %s", status, body)
	}
	if _, body := other.get("/"); !strings.Contains(body, "Ana Brook") {
		t.Error("she came back as somebody else")
	}
	if status, body := ana.get("/bench/"); status == http.StatusOK && body == "the bench" {
		t.Error("the lost machine is still hers")
	}
	if status, _ := s.someone().post("/join", "code", newer, "name", "x"); status != http.StatusNotFound {
		t.Errorf("a code works twice: %d", status)
	}
	late = code()
	s.late.Add(int64(readmitWithin + time.Second))
	if status, _ := s.someone().post("/join", "code", late, "name", "x"); status != http.StatusNotFound {
		t.Errorf("an old code works: %d", status)
	}
	stranger := ines.invite("Olga Vint", "instructor")
	if status, _ := stranger.post("/class/"+class.ID+"/readmit", "trainee", ana.id); status != http.StatusNotFound {
		t.Errorf("another instructor lets somebody in: %d", status)
	}
}

// Nobody joins under a name that looks like another's.
func TestLookalikesAreRefused(t *testing.T) {
	s := newSchool(t)
	class := s.instructor().newClass("One")
	s.join(class, "Ana Brook")
	for _, name := range []string{"ANA BROOK", "Ana\u200b Brook", "\u2060Ana Brook", "Ana Bro\u00adok", "Ana Brook\ufe0f", "koorB \u202eanA"} {
		if status, _ := s.someone().post("/join", "code", class.Code, "name", name); status != http.StatusConflict && status != http.StatusBadRequest {
			t.Errorf("%+q joins: %d", name, status)
		}
	}
	s.join(class, "Ana Brooke")
}

// A lost invitation is made anew by an instructor, a forgotten passphrase only
// at the server: nobody can sign as another.
func TestCodesForAccounts(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	ines.must("/people", "name", "Aldo Reyes", "role", "assessor")
	aldo, err := s.web.Store.PersonBy(t.Context(), "name", "Aldo Reyes")
	if err != nil {
		t.Fatal(err)
	}
	_, body := ines.post("/people/code", "person", aldo.ID)
	found := oneTime.FindStringSubmatch(body)
	if found == nil {
		t.Fatalf("no code in %s", body)
	}
	a := s.someone()
	a.must("/setup", "code", found[1], "passphrase", phrase, "again", phrase)
	if status, _ := ines.post("/people/code", "person", aldo.ID); status != http.StatusConflict {
		t.Errorf("an instructor gets a code for somebody's account: %d", status)
	}
	code, err := s.web.CodeFor(t.Context(), "server", "Aldo Reyes")
	if err != nil {
		t.Fatal(err)
	}
	const other = "another four quiet words"
	again := s.someone()
	again.must("/setup", "code", code, "passphrase", other, "again", other)
	if status, body := again.get("/assess"); status != http.StatusOK || !strings.Contains(body, "Aldo Reyes") {
		t.Errorf("he is not in: %d", status)
	}
	if _, body := a.get("/assess"); strings.Contains(body, "Aldo Reyes") {
		t.Error("the session from before the new passphrase goes on")
	}
	if status, _ := s.someone().post("/signin", "name", "Aldo Reyes", "passphrase", phrase); status != http.StatusForbidden {
		t.Errorf("the forgotten passphrase works: %d", status)
	}
	if _, err := s.web.CodeFor(t.Context(), "server", "Nobody"); err == nil {
		t.Error("a code for nobody")
	}
}

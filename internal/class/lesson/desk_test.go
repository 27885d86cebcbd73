//go:build browser

package lesson

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strconv"
	"testing"

	"foilwright/internal/browsertest"
	"foilwright/internal/class/live"
)

// desk is the page of somebody who signs in.
type desk struct {
	*school
	*browsertest.Page
}

// account takes up a code that stands in the page's field.
func (d *desk) account(name string) {
	d.Page.Helper()
	if name != "" {
		d.Fill("[name=name]", name)
	}
	d.Fill("[name=passphrase]", phrase)
	d.Fill("[name=again]", phrase)
	d.Click("button.first")
}

// invite makes an assessor's account, who takes it up in another browser.
func (d *desk) invite(b *browsertest.Browser, name string) *desk {
	d.Page.Helper()
	d.Goto(d.address + "/people")
	d.Fill("[name=name]", name)
	d.Click("main button.first")
	d.Until("there is a code for "+name, `document.querySelector(".note")?.textContent.includes(`+strconv.Quote(name)+`)`)
	other := &desk{d.school, b.Visitor(d.Page).Open(d.Page, d.address+"/setup?code="+d.Page.Text(".joincode"))}
	other.account("")
	other.Until(name+" is in", `location.pathname === "/assess"`)
	return other
}

func (d *desk) handOut(mode, variant, minutes, attempts string) {
	d.Page.Helper()
	d.Fill("[name=exercise]", panel)
	d.Fill("[name=mode]", mode)
	d.Fill("[name=variant]", variant)
	d.Fill("[name=minutes]", minutes)
	d.Fill("[name=attempts]", attempts)
	d.Evaluate("document.body.id = 'before'")
	d.Click("form[action$=handout] button")
	d.Until("it is handed out", `document.body.id !== "before" && document.querySelector("#rows tr[data-trainee]")`)
}

// download fetches a file as the page's visitor.
func (d *desk) download(path string) []byte {
	d.Page.Helper()
	text := d.Evaluate(fmt.Sprintf(`fetch(%q).then(async (r) => {
		if (!r.ok) throw new Error("the server answered " + r.status);
		return btoa(Array.from(new Uint8Array(await r.arrayBuffer()), (b) => String.fromCharCode(b)).join(""));
	})`, d.address+path))
	content, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		d.Page.Fatal(err)
	}
	return content
}

// board reads the board of a class.
func (d *desk) board(class string) []live.Row {
	d.Page.Helper()
	var out struct{ Rows []live.Row }
	if err := json.Unmarshal([]byte(d.Evaluate(fmt.Sprintf("fetch(%q).then((r) => r.text())", class+"/board.json"))), &out); err != nil {
		d.Page.Fatal(err)
	}
	return out.Rows
}

func row(t testing.TB, rows []live.Row, name string) live.Row {
	t.Helper()
	for _, r := range rows {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("%s is not on the board", name)
	return live.Row{}
}

// judge marks every finding of an attempt, the first overridden where there is
// a reason to, and signs.
func (d *desk) judge(attempt, excuse, verdict, remark string) {
	d.Page.Helper()
	d.Goto(d.address + "/assess/" + attempt)
	for first := true; d.Evaluate(`document.querySelector(".finding form:not(:has(.tag.here))") ? "more" : ""`) != ""; first = false {
		decision := "confirm"
		if first && excuse != "" {
			decision = "override"
			d.Fill(".finding form:not(:has(.tag.here)) [name=reason]", excuse)
		}
		before := d.Evaluate(`String(document.querySelectorAll(".finding .tag.here").length)`)
		d.Click(".finding form:not(:has(.tag.here)) [value=" + decision + "]")
		d.Click(".finding form:not(:has(.tag.here)) button")
		d.Until("the mark is kept", `document.readyState === "complete" && document.querySelectorAll(".finding .tag.here").length > `+before)
	}
	d.Fill("[name=remark]", remark)
	d.Fill("[name=verdict]", verdict)
	d.Click("form[action$=sign] button")
	d.Until("it is signed", `document.readyState === "complete" && !document.querySelector("form[action$=sign]")`)
}

// shots leaves pictures of a page in light and dark, on a small screen, and
// whole on a tablet and on a phone. On none of them it may be too wide.
func (s *school) shots(p *browsertest.Page, name string) {
	s.Helper()
	s.shot(name+"-light", p)
	p.Dark(true)
	s.shot(name+"-dark", p)
	p.Dark(false)
	for _, on := range []struct {
		name          string
		width, height int
	}{{"small", 1024, 768}, {"tablet", 820, 1180}, {"phone", 390, 844}, {"desk", 1280, 800}} {
		p.Size(on.width, on.height, 1)
		switch on.name {
		case "small":
			s.shot(name+"-small", p)
		case "tablet", "phone":
			s.keep(name+"-"+on.name+".png", p.WholePicture())
		}
		if wide := p.Evaluate(`String(document.documentElement.scrollWidth - document.documentElement.clientWidth)`); wide != "0" {
			s.Errorf("at %d pixels the page %s is %s too wide", on.width, name, wide)
		}
	}
}

// Package cmi5 makes course packages: one exercise of the bench as an
// assignable unit that a learning management system can launch, with no class
// server.
//
// Source: the cmi5 specification (AICC/ADL, Sandstone 1st edition) and its
// course structure schema, from memory; the rules that Validate holds a
// package to are listed there.
package cmi5

import (
	"archive/zip"
	"bytes"
	"embed"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/url"
	"path"
	"strconv"
	"strings"

	"foilwright/internal/webbench"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

//go:embed cmi5.js
var runtime embed.FS

// namespace of the course structure.
const namespace = "https://w3id.org/xapi/profiles/cmi5/v1/CourseStructure.xsd"

// course is the course structure, in the order the schema asks for.
type course struct {
	XMLName xml.Name `xml:"courseStructure"`
	Space   string   `xml:"xmlns,attr"`
	Course  struct {
		ID          string `xml:"id,attr"`
		Title       text   `xml:"title"`
		Description text   `xml:"description"`
	} `xml:"course"`
	AU unit `xml:"au"`
}

type unit struct {
	ID          string `xml:"id,attr"`
	MoveOn      string `xml:"moveOn,attr"`
	Mastery     string `xml:"masteryScore,attr"`
	Launch      string `xml:"launchMethod,attr"`
	Activity    string `xml:"activityType,attr"`
	Title       text   `xml:"title"`
	Description text   `xml:"description"`
	URL         string `xml:"url"`
}

type text struct {
	Strings []langstring `xml:"langstring"`
}

type langstring struct {
	Lang string `xml:"lang,attr"`
	Text string `xml:",chardata"`
}

func words(s string) text { return text{[]langstring{{"en", s}}} }

// ownName is the file of a package that holds an exercise the bench does not
// come with.
const ownName = "exercise.js"

// Write makes the package of an exercise; own is its text where it does not
// come with the bench, else nil. files are those of the bench for browsers,
// with its page.
func Write(w io.Writer, e *bench.Exercise, own *scenarios.Text, files []webbench.File) error {
	c := course{Space: namespace}
	// The id follows from the exercise and its version, so that a changed
	// exercise is another activity.
	id := "urn:foilwright:exercise:" + e.ID + ":" + e.Digest[:min(len(e.Digest), 16)]
	c.Course.ID, c.Course.Title, c.Course.Description = id+":course", words(e.Title), words(e.Summary)
	c.AU = unit{
		ID: id, MoveOn: "Passed", Mastery: strconv.FormatFloat(e.Limits.PassTechnique/100, 'f', 2, 64), Launch: "AnyWindow",
		Activity: "http://adlnet.gov/expapi/activities/simulation", Title: words(e.Title), Description: words(e.Summary),
		URL: "index.html?exercise=" + url.QueryEscape(e.ID),
	}
	structure, err := xml.MarshalIndent(c, "", "  ")
	if err != nil {
		return err
	}
	script, err := runtime.ReadFile("cmi5.js")
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	put := func(name string, content []byte) error {
		to, err := z.Create(name)
		if err != nil {
			return err
		}
		_, err = to.Write(content)
		return err
	}
	if err := put("cmi5.xml", append([]byte(xml.Header), structure...)); err != nil {
		return err
	}
	if err := put("cmi5.js", script); err != nil {
		return err
	}
	const mark = `<script src="load.js"></script>`
	before := `<script src="cmi5.js"></script>` + "\n"
	if own != nil {
		text, err := json.Marshal(own)
		if err != nil {
			return err
		}
		if err := put(ownName, []byte("// "+e.ID+", for the bench that this page loads.\nwindow.foilwrightExercise = "+string(text)+";\n")); err != nil {
			return err
		}
		before += `<script src="` + ownName + `"></script>` + "\n"
	}
	for _, f := range files {
		content := f.Content
		if f.Name == "index.html" {
			if !bytes.Contains(content, []byte(mark)) {
				return errors.New("the page of the bench has no place for the launch script")
			}
			content = bytes.Replace(content, []byte(mark), []byte(before+mark), 1)
		}
		if err := put(f.Name, content); err != nil {
			return err
		}
	}
	return z.Close()
}

// Validate checks a package against the rules of the course structure (from
// memory of the specification, sections 13 and 14, and of its schema): cmi5.xml
// at the root of a zip file; the namespace; one course with an id that is an
// absolute IRI, title and description in at least one language; each
// assignable unit with an id of its own, a known moveOn and launchMethod, a
// mastery score from 0 to 1, title and description before the address; a
// relative address leads to a file of the package.
func Validate(data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fmt.Errorf("no zip file: %w", err)
	}
	f, err := z.Open("cmi5.xml")
	if err != nil {
		return errors.New("no cmi5.xml at the root")
	}
	defer f.Close()
	type node struct {
		XMLName xml.Name
		Attrs   []xml.Attr `xml:",any,attr"`
		Nodes   []node     `xml:",any"`
		Text    string     `xml:",chardata"`
	}
	var root node
	if err := xml.NewDecoder(f).Decode(&root); err != nil {
		return fmt.Errorf("cmi5.xml: %w", err)
	}
	var faults []error
	bad := func(format string, values ...any) { faults = append(faults, fmt.Errorf(format, values...)) }
	if root.XMLName.Local != "courseStructure" || root.XMLName.Space != namespace {
		bad("the root is %s in %q", root.XMLName.Local, root.XMLName.Space)
	}
	attribute := func(n node, name string) string {
		for _, a := range n.Attrs {
			if a.Name.Local == name {
				return a.Value
			}
		}
		return ""
	}
	identified := func(n node, seen map[string]bool) {
		id := attribute(n, "id")
		if u, err := url.Parse(id); err != nil || u.Scheme == "" || seen[id] {
			bad("%s has the id %q, which is no absolute IRI of its own", n.XMLName.Local, id)
		}
		seen[id] = true
	}
	described := func(n node, order ...string) {
		at := 0
		for _, child := range n.Nodes {
			for at < len(order) && order[at] != child.XMLName.Local {
				at++
			}
			if at == len(order) {
				bad("%s: %s stands where the schema has no place for it", n.XMLName.Local, child.XMLName.Local)
				return
			}
			if name := child.XMLName.Local; name == "title" || name == "description" {
				if len(child.Nodes) == 0 || strings.TrimSpace(child.Nodes[0].Text) == "" || attribute(child.Nodes[0], "lang") == "" {
					bad("%s: %s has no text in a language", n.XMLName.Local, name)
				}
			}
		}
		for _, needed := range []string{"title", "description"} {
			found := false
			for _, child := range n.Nodes {
				found = found || child.XMLName.Local == needed
			}
			if !found {
				bad("%s has no %s", n.XMLName.Local, needed)
			}
		}
	}
	seen := map[string]bool{}
	courses, units := 0, 0
	for _, n := range root.Nodes {
		switch n.XMLName.Local {
		case "course":
			courses++
			identified(n, seen)
			described(n, "title", "description")
		case "au":
			units++
			identified(n, seen)
			described(n, "title", "description", "objectives", "url", "launchParameters", "entitlementKey")
			if m := attribute(n, "moveOn"); !strings.Contains(" Passed Completed CompletedAndPassed CompletedOrPassed NotApplicable ", " "+m+" ") || m == "" {
				bad("moveOn %q", m)
			}
			if m := attribute(n, "launchMethod"); m != "AnyWindow" && m != "OwnWindow" {
				bad("launchMethod %q", m)
			}
			if m, err := strconv.ParseFloat(attribute(n, "masteryScore"), 64); err != nil || m < 0 || m > 1 {
				bad("masteryScore %q is not from 0 to 1", attribute(n, "masteryScore"))
			}
			address := ""
			for _, child := range n.Nodes {
				if child.XMLName.Local == "url" {
					address = strings.TrimSpace(child.Text)
				}
			}
			u, err := url.Parse(address)
			if err != nil || address == "" {
				bad("url %q", address)
			} else if !u.IsAbs() {
				if _, err := z.Open(path.Clean(u.Path)); err != nil {
					bad("url %q leads to no file of the package", address)
				}
			}
			for _, reserved := range []string{"endpoint", "fetch", "registration", "activityId", "actor"} {
				if err == nil && u.Query().Has(reserved) {
					bad("url has the reserved parameter %s", reserved)
				}
			}
		}
	}
	if courses != 1 || units == 0 {
		bad("%d courses and %d assignable units", courses, units)
	}
	return errors.Join(faults...)
}

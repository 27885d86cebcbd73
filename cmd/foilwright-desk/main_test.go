package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
)

func TestCommandLine(t *testing.T) {
	for _, c := range []struct {
		name     string
		args     []string
		code     int
		out, err string // parts of what is printed
	}{
		{"nothing", nil, exitUsage, "", "start "},
		{"help", []string{"help"}, exitDone, "Exit codes: 0 done", ""},
		{"help by flag", []string{"-h"}, exitDone, "start ", ""},
		{"help of one", []string{"help", "start"}, exitDone, "-port int", ""},
		{"help of one by flag", []string{"start", "-h"}, exitDone, "-port int", ""},
		{"unknown subcommand", []string{"stop"}, exitUsage, "", "foilwright-desk: no subcommand \"stop\"\nhint: "},
		{"unknown flag", []string{"start", "-x"}, exitUsage, "", "-x\nhint: foilwright-desk help start\n"},
		{"too many arguments", []string{"start", "now"}, exitUsage, "", "foilwright-desk: start: 1 arguments given, expected 0\n"},
		{"flags that exclude each other", []string{"start", "-browser", "-desktop"}, exitUsage, "", "exclude each other"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, err bytes.Buffer
			if code := run(c.args, streams{out: &out, err: &err}); code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			if !strings.Contains(out.String(), c.out) || c.out == "" && out.Len() > 0 {
				t.Errorf("standard output %q, want %q in it", out.String(), c.out)
			}
			if !strings.Contains(err.String(), c.err) || c.err == "" && err.Len() > 0 {
				t.Errorf("standard error %q, want %q in it", err.String(), c.err)
			}
		})
	}
}

func TestErrorsOutsideTheRepositoryHaveAHint(t *testing.T) {
	t.Chdir(t.TempDir())
	var out, err bytes.Buffer
	if code := run([]string{"start"}, streams{out: &out, err: &err}); code != exitFailed {
		t.Errorf("exit code %d, want %d", code, exitFailed)
	}
	shape := regexp.MustCompile(`^foilwright-desk: this is not .+\nhint: .+\n$`)
	if !shape.MatchString(err.String()) {
		t.Errorf("standard error %q, want one error line and one hint line", err.String())
	}
}

func TestEverySubcommandIsTold(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range commands {
		if c.name == "" || c.summary == "" || c.run == nil || seen[c.name] {
			t.Errorf("subcommand %q lacks its name, summary or work, or stands twice in the table", c.name)
		}
		seen[c.name] = true
	}
}

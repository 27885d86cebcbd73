// Package say puts the words of the bench into the language it speaks. Every sentence and label stands in the code in
// English, as a Text; T and N look up what it is in the language chosen. The tables are gettext files in text/: bench.pot
// lists all there is to translate, made from the code by go generate, and LANGUAGE.po is one language.
//
// What is data keeps the language of its author: exercises, certificates, and what the simulation writes into logs.
//
// A program speaks one language at a time, as gettext has it: Speak chooses for all of it.
package say

import (
	"fmt"
	"sync/atomic"
)

//go:generate go run ./gather/write

// Text is a sentence or label in English, with the placeholders of fmt. A constant that becomes a Text is in the tables;
// a Text is never shown as it is.
type Text string

// tongue is a language other than English.
type tongue interface {
	of(english Text) string
	ofMany(n int, one, many Text) string
}

var spoken atomic.Pointer[tongue] // nil: English

// T is a text in the language spoken, its placeholders filled in. Without args it is taken as it is: "%" is a percent
// sign then.
func T(english Text, args ...any) string {
	format := string(english)
	if t := spoken.Load(); t != nil && english != "" {
		format = (*t).of(english)
	}
	if len(args) == 0 {
		return format
	}
	return fmt.Sprintf(format, args...)
}

// N is one of two texts by the number n, or what the language has for that number. Without args, n fills the
// placeholder.
func N(n int, one, many Text, args ...any) string {
	format := string(many)
	if t := spoken.Load(); t != nil {
		format = (*t).ofMany(n, one, many)
	} else if n == 1 {
		format = string(one)
	}
	if len(args) == 0 {
		args = []any{n}
	}
	return fmt.Sprintf(format, args...)
}

// Package lesson holds the test that walks through a whole class and an
// assessment in real browsers, against the real server: see lesson_test.go.
package lesson

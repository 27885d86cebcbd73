// Command page is a bench with nothing but its link: it begins what it is
// handed and sends four lines, two of them late.
package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"foilwright/internal/class/link"
)

func main() {
	l := link.Dial(context.Background(), os.Args[1])
	wait(l, func(s link.Status) bool { return s.Work != nil })
	l.Begin(l.Status().Work.Handout)
	wait(l, func(s link.Status) bool { return s.Work.Attempt != "" })
	l.Follow(l.Status().Work.Attempt, 0)
	line(l, 1)
	line(l, 2)
	wait(l, func(s link.Status) bool { return s.Unsent == 0 })
	line(l, 3)
	wait(l, func(s link.Status) bool { return !s.Connected })
	line(l, 4)
	wait(l, func(s link.Status) bool { return s.Unsent == 0 })
	l.Begin("done " + l.Status().Hint)
	select {}
}

func line(l *link.Link, n int) { l.Line(n, fmt.Appendf(nil, "line %d µm\n", n)) }

func wait(l *link.Link, until func(link.Status) bool) {
	for !until(l.Status()) {
		time.Sleep(5 * time.Millisecond)
	}
}

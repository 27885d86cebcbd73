package web

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// bare connects without the link that looks after a bench's connection, and
// with a network that holds little.
func (p *pupil) bare() *websocket.Conn {
	p.Helper()
	p.cancel()
	through := &http.Client{Transport: &http.Transport{DialContext: func(ctx context.Context, network, address string) (net.Conn, error) {
		c, err := (&net.Dialer{}).DialContext(ctx, network, address)
		if err == nil {
			err = c.(*net.TCPConn).SetReadBuffer(4096)
		}
		return c, err
	}}}
	ws, _, err := websocket.Dial(p.Context(), strings.Replace(p.URL, "http", "ws", 1)+"/bench/link",
		&websocket.DialOptions{HTTPClient: through, HTTPHeader: http.Header{"Cookie": {p.cookie()}}})
	if err != nil {
		p.Fatal(err)
	}
	ws.SetReadLimit(64 << 20)
	p.Cleanup(func() { ws.CloseNow() })
	return ws
}

// pour sends the entries of an attempt from the first to one, as many messages
// as there are sixties.
func pour(t *testing.T, ws *websocket.Conn, w *wire.Handed, r *bench.Record, upTo int) (messages int) {
	t.Helper()
	chain, have := chainOf(t, w.Log)
	for have < upTo {
		head := wire.ToServer{Kind: wire.Lines, Attempt: w.Attempt, First: have + 1}
		var tail []byte
		for _, e := range r.Entries[have:min(have+60, upTo)] {
			line, err := chain.Entry(e)
			if err != nil {
				t.Fatal(err)
			}
			tail = append(tail, line...)
			have = e.N
		}
		text, err := wire.Encode(head, tail)
		if err != nil {
			t.Fatal(err)
		}
		if err := ws.Write(t.Context(), websocket.MessageText, text); err != nil {
			t.Fatal(err)
		}
		messages++
	}
	return messages
}

// A browser that reads nothing gets so much and no more, and then its
// connection ends; one that reads slowly is told everything in the end, in
// fewer words. Others notice nothing, and what was sent is kept.
func TestASlowBrowserHoldsNobodyUp(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, openStore func() *store.Store) {
		st := openStore()
		defer st.Close()
		s := open(t, t.TempDir(), st)
		defer s.stop()
		ines := s.instructor()
		class := ines.newClass("One")
		ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
		ana, ben, cem := s.join(class, "Ana Brook"), s.join(class, "Ben Holt"), s.join(class, "Cem Aksu")
		wa, wb, wc := ana.begin(), ben.begin(), cem.begin()
		r := s.played(panel, wa.Seed)
		all := len(r.Entries)

		deaf := ana.bare()
		pour(t, deaf, wa, r, all-1)
		size := 0
		s.until("what Ana sent is kept", func() bool {
			text, n, err := st.Log(t.Context(), wa.Attempt)
			size = len(text)
			return err == nil && n == all-1
		})
		tell := func() {
			t.Helper()
			if err := s.web.Room.Tell(t.Context(), ana.id); err != nil {
				t.Fatal(err)
			}
		}
		told := 0
		for ; told < 5<<20; told += size {
			tell()
		}
		if !ines.boardOf(class)[0].Here {
			t.Errorf("Ana's connection ended after %d bytes that she did not read", told)
		}
		began := time.Now()
		ben.practise(wb, r, all)
		t.Logf("Ben's %d entries were acknowledged within %v beside a browser that reads nothing", all, time.Since(began).Round(time.Millisecond))
		for here := true; here; told += size {
			if told > 40<<20 {
				t.Fatalf("%d bytes wait for a browser that reads nothing", told)
			}
			tell()
			here = ines.boardOf(class)[0].Here
		}
		t.Logf("Ana's connection ended after %d bytes in messages of %d", told, size)

		slow := cem.bare()
		sent := pour(t, slow, wc, r, all)
		acks, acked := 0, 0
		for acked < all {
			time.Sleep(30 * time.Millisecond)
			_, data, err := slow.Read(t.Context())
			if err != nil {
				t.Fatalf("after entry %d: %v", acked, err)
			}
			var m wire.ToBench
			if err := json.Unmarshal(data, &m); err != nil {
				t.Fatal(err)
			}
			if m.Kind == wire.Ack {
				acks, acked = acks+1, m.N
			}
		}
		if acks > sent {
			t.Errorf("%d acknowledgements of %d messages", acks, sent)
		}

		// Whatever Ana could have read of acknowledgements was true, and she goes on.
		ana.connect()
		s.until("Ana's work is back", func() bool { return ana.link.Status().Work != nil })
		again := ana.link.Status().Work
		if _, n := chainOf(t, again.Log); n != all-1 {
			t.Fatalf("%d entries of %d are there", n, all-1)
		}
		ana.practise(again, r, all)
		s.until("all three have finished", func() bool {
			for _, row := range ines.boardOf(class) {
				if !row.Finished || row.Fault != "" {
					return false
				}
			}
			return true
		})
	})
}

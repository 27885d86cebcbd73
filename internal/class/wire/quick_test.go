package wire

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"
)

// The two messages that go to and fro all the time are written and read by
// hand; they are what the JSON package makes of them.
func TestQuickMessagesAreTheSlowOnes(t *testing.T) {
	for _, attempt := range []string{"k7f_Q-2", "", "a\"b", "ü", "a<b"} {
		for _, n := range []int{0, 1, 9_999_999, -3} {
			want, err := Encode(ToBench{Kind: Ack, Attempt: attempt, N: n}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := AppendAck(nil, attempt, n); !bytes.Equal(got, want) {
				t.Errorf("acknowledgement %s, want %s", got, want)
			}
		}
	}
	text, err := Encode(ToServer{Kind: Lines, Attempt: "k7f", First: 120}, []byte("x\n"))
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := bytes.Cut(text, []byte{'\n'})
	if m, ok := linesHead(head); !ok || m.First != 120 || m.Attempt != "k7f" {
		t.Errorf("the head %s is not read quickly: %+v", head, m)
	}
}

func FuzzLinesHead(f *testing.F) {
	for _, head := range []string{
		`{"kind":"lines","attempt":"k7f","first":120}`, `{"kind":"lines","attempt":"k7f","first":0}`, `{"kind":"lines","attempt":"","first":1}`,
		`{"kind":"lines","attempt":"a\"","first":1}`, `{"kind":"lines","attempt":"a","first":01}`, `{"kind":"lines","attempt":"a","first":123456789}`,
		`{"kind":"lines","attempt":"a","first":1}}`, `{"kind":"lines","attempt":"a","first":1e2}`, `{"kind":"lines","attempt":"a","first":-1}`,
		`{"kind":"lines","attempt":"a","first":1,"first":2}`, `{"kind":"lines"`,
	} {
		f.Add([]byte(head))
	}
	f.Fuzz(func(t *testing.T, head []byte) {
		quick, ok := linesHead(head)
		if !ok {
			return
		}
		var slow ToServer
		d := json.NewDecoder(bytes.NewReader(head))
		d.DisallowUnknownFields()
		if err := d.Decode(&slow); err != nil || d.More() || !reflect.DeepEqual(quick, slow) {
			t.Errorf("%q is read as %+v, by JSON as %+v, %v", head, quick, slow, err)
		}
	})
}

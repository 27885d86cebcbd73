package xapi

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"foilwright/internal/class/store"
)

// Outbox sends statements to a record store, each until it has been taken. It
// lives in the database, so that nothing is forgotten when the server stops
// or the network is away.
type Outbox struct {
	Store          *store.Store
	Address        string // of the record store, without /statements
	User, Password string
	Client         *http.Client
	Log            *slog.Logger
}

// Put keeps a statement to be sent; one that is there already is not kept twice.
func Put(tx *store.Tx, s Statement) error {
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	if err := Validate(text); err != nil {
		return fmt.Errorf("statement %s breaks the rules: %w", s.ID, err)
	}
	return tx.PutOut(s.ID, string(text))
}

// Run sends what is due until the context ends.
func (o *Outbox) Run(ctx context.Context) {
	tick := time.NewTicker(2 * time.Second)
	defer tick.Stop()
	for {
		if err := o.Send(ctx); err != nil && ctx.Err() == nil {
			o.Log.Warn("statements wait", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// mostPause bounds the time between tries.
const mostPause = time.Hour

// Send sends every statement that is due, once.
func (o *Outbox) Send(ctx context.Context) error {
	due, err := o.Store.Due(ctx, store.Now(), 50)
	if err != nil {
		return err
	}
	var last error
	for _, m := range due {
		fault := o.put(ctx, m.ID, m.Statement)
		if fault != nil {
			last = fault
		}
		pause := min(time.Second<<min(m.Tries, 20), mostPause)
		if err := o.Store.Write(ctx, func(tx *store.Tx) error {
			if fault == nil {
				return tx.Sent(m.ID)
			}
			return tx.Postpone(m.ID, store.Now()+pause.Milliseconds(), fault.Error())
		}); err != nil {
			return err
		}
	}
	return last
}

// put sends one statement under its own id, so that a repetition after a lost
// answer changes nothing: the store answers 204 again, or 409 when it thinks
// that something differs, and has it either way.
func (o *Outbox) put(ctx context.Context, id, statement string) error {
	ctx, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodPut, o.Address+"/statements?statementId="+url.QueryEscape(id), bytes.NewReader([]byte(statement)))
	if err != nil {
		return err
	}
	r.Header.Set("X-Experience-API-Version", Version)
	r.Header.Set("Content-Type", "application/json")
	if o.User != "" {
		r.SetBasicAuth(o.User, o.Password)
	}
	answer, err := o.Client.Do(r)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	text, _ := io.ReadAll(io.LimitReader(answer.Body, 300))
	switch answer.StatusCode {
	case http.StatusOK, http.StatusNoContent, http.StatusConflict:
		return nil
	}
	return fmt.Errorf("the record store answered %d: %.200s", answer.StatusCode, text)
}

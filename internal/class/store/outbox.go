package store

import "context"

// Out is a statement that waits to be sent, or was.
type Out struct {
	ID, Statement string
	Made, Tries   int64
	Due, Sent     int64
	Fault         string // of the newest try
}

func (o *Out) fields() []any {
	return []any{&o.ID, &o.Statement, &o.Made, &o.Tries, &o.Due, &o.Sent, &o.Fault}
}

const outColumns = "id, statement, made, tries, due, sent, fault"

// PutOut keeps a statement to be sent, unless it is there already.
func (t *Tx) PutOut(id, statement string) error {
	return t.Exec("insert into outbox ("+outColumns+") values (?, ?, ?, 0, 0, 0, '') on conflict (id) do nothing", id, statement, Now())
}

// Due lists statements that are to be sent now, oldest first.
func (s *Store) Due(ctx context.Context, now int64, limit int) ([]Out, error) {
	return list(ctx, s, "select "+outColumns+" from outbox where sent = 0 and due <= ? order by made, id limit ?", []any{now, limit}, (*Out).fields)
}

// Outbox lists all statements, oldest first.
func (s *Store) Outbox(ctx context.Context) ([]Out, error) {
	return list(ctx, s, "select "+outColumns+" from outbox order by made, id", nil, (*Out).fields)
}

// Sent notes that a statement was taken.
func (t *Tx) Sent(id string) error {
	return t.Exec("update outbox set sent = ?, tries = tries + 1, fault = '' where id = ?", Now(), id)
}

// Postpone notes that a statement was not taken, and when to try again.
func (t *Tx) Postpone(id string, due int64, fault string) error {
	return t.Exec("update outbox set tries = tries + 1, due = ?, fault = ? where id = ?", due, fault, id)
}

package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"

	"foilwright/internal/class/store"
)

func init() {
	register(command{
		name: "backup", args: "-data FOLDER -out FILE.zip [-db POSTGRES-ADDRESS]",
		summary: "copy everything a class server keeps into one file, also while it runs",
		more:    "The file holds the key that seals assessments and the names of trainees: keep it as carefully as the data folder.\n",
		run:     backup,
	})
	register(command{
		name: "restore", args: "FILE.zip -data FOLDER [-db POSTGRES-ADDRESS]",
		summary: "bring a backup back into an empty data folder or an empty PostgreSQL database",
		run:     restore,
	})
}

func backup(set *flag.FlagSet, args []string, s streams) (err error) {
	data := set.String("data", "foilwright-class", "data folder")
	db := set.String("db", os.Getenv("FOILWRIGHT_DB"), "PostgreSQL address; empty: SQLite in the data folder")
	out := set.String("out", "", "file to write; it must not be there yet")
	if _, err := parse(set, args, 0, 0); err != nil {
		return err
	}
	if *out == "" {
		return usageError("backup: name the file with -out")
	}
	if _, err := os.Stat(*data); err != nil {
		return inputError(err, "name the data folder with -data")
	}
	ctx := context.Background()
	st, err := store.Open(ctx, *data, *db)
	if err != nil {
		return err
	}
	defer st.Close()
	f, err := os.OpenFile(*out, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return &failure{reason: err, hint: "nothing is overwritten: give another name"}
	}
	rows, err := st.Backup(ctx, *data, f)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(*out)
		return err
	}
	fmt.Fprintf(s.out, "%s: %d rows\n", *out, rows)
	return nil
}

func restore(set *flag.FlagSet, args []string, s streams) error {
	data := set.String("data", "foilwright-class", "data folder, without a database in it")
	db := set.String("db", os.Getenv("FOILWRIGHT_DB"), "PostgreSQL address of an empty database; empty: SQLite in the data folder")
	rest, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	rows, err := store.Restore(context.Background(), rest[0], *data, *db)
	if err != nil {
		return inputError(err, "restore into a new folder; the backup was left as it is")
	}
	fmt.Fprintf(s.out, "%d rows are back in %s\n", rows, *data)
	return nil
}

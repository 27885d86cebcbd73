// Package classtest gives tests of the class server a store to work on: SQLite
// in a folder, and a PostgreSQL server that is started for the test.
package classtest

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"syscall"
	"testing"

	"foilwright/internal/class/store"
)

// Stores runs a test on an empty store of each kind.
func Stores(t *testing.T, test func(t *testing.T, open func() *store.Store)) {
	t.Run("sqlite", func(t *testing.T) {
		folder := t.TempDir()
		test(t, func() *store.Store { return opened(t, folder, "") })
	})
	t.Run("postgres", func(t *testing.T) {
		address := Postgres(t)
		test(t, func() *store.Store { return opened(t, "", address) })
	})
}

func opened(t *testing.T, folder, address string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), folder, address)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// server is the PostgreSQL of this test program; each test has a database of
// its own on it.
var server struct {
	once      sync.Once
	err       error
	port      int
	databases int
	mu        sync.Mutex
}

// Postgres returns the address of an empty database. A machine without
// PostgreSQL fails the test; nothing is skipped in silence.
func Postgres(t *testing.T) string {
	t.Helper()
	if address := os.Getenv("FOILWRIGHT_TEST_DB"); address != "" {
		t.Logf("using the database of FOILWRIGHT_TEST_DB")
		return address
	}
	server.once.Do(func() { server.err = start() })
	if server.err != nil {
		t.Fatalf("no PostgreSQL for the test: %v; on Debian: apt-get install postgresql", server.err)
	}
	server.mu.Lock()
	defer server.mu.Unlock()
	server.databases++
	name := "test" + strconv.Itoa(server.databases)
	out, err := asOwner(binary("createdb"), "-h", "127.0.0.1", "-p", strconv.Itoa(server.port), "-U", "foilwright", name).CombinedOutput()
	if err != nil {
		t.Fatalf("making a database: %v: %s", err, out)
	}
	return fmt.Sprintf("postgres://foilwright@127.0.0.1:%d/%s?sslmode=disable", server.port, name)
}

// binary finds a program of PostgreSQL; Debian keeps the server's off the path.
func binary(name string) string {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) > 0 {
		slices.Sort(found)
		return found[len(found)-1]
	}
	if path, err := exec.LookPath(name); err == nil {
		return path
	}
	return name
}

// asOwner runs a program as a user who may run PostgreSQL, which refuses root.
func asOwner(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Dir = os.TempDir()
	if os.Geteuid() == 0 {
		u, err := user.Lookup("postgres")
		if err == nil {
			uid, _ := strconv.Atoi(u.Uid)
			gid, _ := strconv.Atoi(u.Gid)
			cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, Setpgid: true}
		}
	}
	return cmd
}

func start() error {
	folder, err := os.MkdirTemp("", "foilwright-pg-")
	if err != nil {
		return err
	}
	if err := os.Chmod(folder, 0o777); err != nil {
		return err
	}
	data := filepath.Join(folder, "data")
	if out, err := asOwner(binary("initdb"), "-D", data, "-U", "foilwright", "-A", "trust", "-E", "UTF8", "--locale=C").CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w: %s", err, out)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	server.port = l.Addr().(*net.TCPAddr).Port
	l.Close()
	options := fmt.Sprintf("-p %d -c listen_addresses=127.0.0.1 -c unix_socket_directories=%s", server.port, folder)
	out, err := asOwner(binary("pg_ctl"), "-D", data, "-w", "-l", filepath.Join(folder, "log"), "-o", options, "start").CombinedOutput()
	if err != nil {
		return fmt.Errorf("pg_ctl: %w: %s", err, out)
	}
	stop = func() {
		asOwner(binary("pg_ctl"), "-D", data, "-m", "immediate", "stop").Run()
		os.RemoveAll(folder)
	}
	return nil
}

var stop = func() {}

// Main runs the tests of a package and stops the server again.
func Main(m *testing.M) {
	code := m.Run()
	stop()
	os.Exit(code)
}

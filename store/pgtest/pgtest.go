// Package pgtest starts a PostgreSQL server of its own for a test or a
// benchmark: in a folder of its own, on a free port of this machine, gone
// afterwards.
//
// Start with [Start] in a test, which skips it where PostgreSQL is not
// installed, and with [Run] elsewhere. [Server.Fresh] gives the address of a
// place that nothing has been kept in yet. The server is PostgreSQL's own, as
// the system's packages install it; nothing is downloaded.
package pgtest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Password is that of the server's user "mechanic".
const Password = "a-secret-for-tests"

// ErrMissing says that PostgreSQL is not installed.
var ErrMissing = errors.New("PostgreSQL is missing: neither initdb in PATH nor one in /usr/lib/postgresql; install it with: apt-get install postgresql")

// A Server is a running PostgreSQL.
type Server struct {
	bin, dir string
	port     int
}

// Start starts a server that ends with the test, or skips the test where there
// is none to start.
func Start(t testing.TB) *Server {
	t.Helper()
	s, err := Run()
	if errors.Is(err, ErrMissing) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// Run starts a server. Close it when done.
func Run() (*Server, error) {
	bin, err := programs()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "lastbolt-pg-")
	if err != nil {
		return nil, err
	}
	s := &Server{bin: bin, dir: dir}
	if err := s.prepare(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	if err := s.Up(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	return s, nil
}

// programs is the folder of initdb and pg_ctl; the newest one of several.
func programs() (string, error) {
	if path, err := exec.LookPath("initdb"); err == nil {
		if path, err = filepath.EvalSymlinks(path); err == nil {
			return filepath.Dir(path), nil
		}
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil || len(found) == 0 {
		return "", ErrMissing
	}
	version := func(path string) int {
		n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path)))) // 0 for what is no number
		return n
	}
	return filepath.Dir(slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) })), nil
}

func (s *Server) prepare() error {
	if err := give(s.dir); err != nil {
		return err
	}
	secret := filepath.Join(s.dir, "secret")
	if err := os.WriteFile(secret, []byte(Password+"\n"), 0o600); err != nil {
		return err
	}
	if err := give(secret); err != nil {
		return err
	}
	return s.program("initdb", "-D", s.data(), "-U", "mechanic", "--pwfile", secret, "-A", "scram-sha-256", "-E", "UTF8", "--no-locale", "--no-sync")
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// Up starts the server, on the port it had before if it had one.
func (s *Server) Up() error {
	if s.port == 0 {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			return err
		}
		s.port = l.Addr().(*net.TCPAddr).Port
		if err := l.Close(); err != nil {
			return err
		}
	}
	options := fmt.Sprintf("-p %d -c listen_addresses=127.0.0.1 -c unix_socket_directories='' -c max_connections=60", s.port)
	return s.program("pg_ctl", "start", "-D", s.data(), "-w", "-t", "60", "-l", filepath.Join(s.dir, "log"), "-o", options)
}

// Down stops the server: "fast" ends the connections, "immediate" is as if its
// processes were killed, and the next start recovers.
func (s *Server) Down(mode string) error {
	return s.program("pg_ctl", "stop", "-D", s.data(), "-w", "-t", "60", "-m", mode)
}

// Pid is the process of the server that all others of it come from.
func (s *Server) Pid() (int, error) {
	text, err := os.ReadFile(filepath.Join(s.data(), "postmaster.pid"))
	if err != nil {
		return 0, err
	}
	first, _, _ := strings.Cut(string(text), "\n")
	return strconv.Atoi(strings.TrimSpace(first))
}

// Close ends the server and removes what it kept.
func (s *Server) Close() error {
	var err error
	if _, gone := s.Pid(); gone == nil {
		err = s.Down("immediate")
	}
	return errors.Join(err, os.RemoveAll(s.dir))
}

// URL is the address of the server's first database.
func (s *Server) URL() string {
	return fmt.Sprintf("postgres://mechanic:%s@127.0.0.1:%d/postgres", Password, s.port)
}

// Fresh makes an empty place, a schema of its own, and returns its address.
func (s *Server) Fresh() (string, error) {
	name := "place_" + strings.ToLower(rand.Text())
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	c, err := pgx.Connect(ctx, s.URL())
	if err != nil {
		return "", err
	}
	_, err = c.Exec(ctx, "CREATE SCHEMA "+name)
	return s.URL() + "?search_path=" + name, errors.Join(err, c.Close(ctx))
}

// program runs one of PostgreSQL's programs. The server's own output must not
// be a pipe, which would stay open as long as the server runs.
func (s *Server) program(name string, args ...string) error {
	out, err := os.CreateTemp("", "lastbolt-pg-out-")
	if err != nil {
		return err
	}
	defer func() { _ = os.Remove(out.Name()) }() // a leftover in the folder of temporary files
	defer out.Close()
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = s.dir, out, out
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	asOther(cmd)
	if err := cmd.Run(); err != nil {
		text, _ := os.ReadFile(out.Name())
		log, _ := os.ReadFile(filepath.Join(s.dir, "log"))
		return fmt.Errorf("%s: %w: %s %s", name, err, text, log)
	}
	return nil
}

package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"lastbolt/fault"
)

// where is a database as it may be shown: without the password.
type where struct{ user, host, name string }

func (w where) String() string { return fmt.Sprintf("%q on %s", w.name, w.host) }

// IsURL reports whether a text is the address of a PostgreSQL database.
func IsURL(text string) bool {
	return strings.HasPrefix(text, "postgres://") || strings.HasPrefix(text, "postgresql://")
}

// parse reads an address. Errors never repeat it: it may hold a password.
func parse(url string) (*pgx.ConnConfig, where, error) {
	const example = "postgres://user@host:5432/lastbolt"
	if !IsURL(url) {
		return nil, where{}, fault.New(fault.Bad, "The address of the database does not begin with postgres:// . Write it as in %s", example)
	}
	config, err := pgx.ParseConfig(url)
	if err != nil {
		// The cause is left out: it may quote a piece of the address.
		return nil, where{}, fault.New(fault.Bad, "The address of the database cannot be read. Write it as in %s , with signs such as @ / : # in a password written as %%40 %%2F %%3A %%23", example)
	}
	for name, value := range settings {
		if _, said := config.RuntimeParams[name]; !said || name == "synchronous_commit" {
			config.RuntimeParams[name] = value
		}
	}
	// A server that the network no longer reaches is noticed in half a minute.
	config.DialFunc = (&net.Dialer{KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 15 * time.Second, Interval: 5 * time.Second, Count: 3}}).DialContext
	if !strings.Contains(url, "connect_timeout") {
		config.ConnectTimeout = connectTime
	}
	host := config.Host
	if !strings.HasPrefix(host, "/") {
		host = net.JoinHostPort(host, fmt.Sprint(config.Port))
	}
	return config, where{config.User, host, config.Database}, nil
}

// explain turns what the server or the way to it says into a sentence for a
// person. A fault is passed on as it is; what it does not know becomes an
// Internal one only where it is shown.
func (s *Store) explain(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*fault.Error](err); ok {
		return err
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) && !connecting(err) {
		return fault.Wrap(err, fault.Cancelled, "It was stopped before it was done. Nothing was half saved; try again.")
	}
	if e, ok := errors.AsType[*pgconn.PgError](err); ok {
		return s.explainCode(e)
	}
	if connecting(err) {
		return fault.Wrap(root(err), fault.Busy,
			"The PostgreSQL server at %s does not answer. Nothing was saved this time; see that it runs and that the network reaches it, then try again.", s.where.host)
	}
	if broken(err) {
		s.broke.Store(time.Now().UnixNano())
		return s.cut(root(err))
	}
	return err
}

// cut is said when the server went away in the middle: whether the last thing
// was saved is then not known, and it is never half saved.
func (s *Store) cut(cause error) error {
	return fault.Wrap(cause, fault.Busy,
		"The PostgreSQL server at %s went away in the middle. What was saved before is kept; load the page again to see whether this was saved too, and do it again if not.", s.where.host)
}

func connecting(err error) bool {
	_, ok := errors.AsType[*pgconn.ConnectError](err)
	return ok
}

// broken reports whether an error is that of a connection that ended.
func broken(err error) bool {
	_, network := errors.AsType[net.Error](err)
	return network || errors.Is(err, driver.ErrBadConn) || errors.Is(err, sql.ErrConnDone) || errors.Is(err, io.EOF) ||
		errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) || strings.Contains(err.Error(), "conn closed")
}

// root is the innermost cause, which is short and holds no address.
func root(err error) error {
	for {
		switch e := err.(type) {
		case interface{ Unwrap() error }:
			if e.Unwrap() == nil {
				return err
			}
			err = e.Unwrap()
		case interface{ Unwrap() []error }:
			list := e.Unwrap()
			if len(list) == 0 {
				return err
			}
			err = list[len(list)-1]
		default:
			return err
		}
	}
}

// explainCode goes by the SQLSTATE (PostgreSQL documentation, appendix A).
func (s *Store) explainCode(e *pgconn.PgError) error {
	cause := errors.New(e.Message)
	switch e.Code {
	case "28P01", "28000":
		return fault.New(fault.Bad, "The PostgreSQL server at %s does not let the user %q in: the name or the password is not right, or that user may not come from here. Write both into the address, or the password into the password file.", s.where.host, s.where.user)
	case "3D000":
		return fault.New(fault.NotFound, "There is no database %s. Make it first: createdb %s", s.where, s.where.name)
	case "42501":
		return fault.Wrap(cause, fault.ReadOnly, "The user %q may not do this in the database %s. Give that user the right to make and fill tables in it, or make it the database's owner.", s.where.user, s.where)
	case "25006":
		return fault.Wrap(cause, fault.ReadOnly, "The database %s takes nothing in: it is a copy that only reads, or is set so. Use the address of the one that is written to.", s.where)
	case "53100":
		return fault.Wrap(cause, fault.Full, "There is no room left on the disk of the PostgreSQL server at %s. Nothing was saved this time; make room there, then do it again.", s.where.host)
	case "53300":
		return fault.Wrap(cause, fault.Busy, "The PostgreSQL server at %s has all its connections in use. Nothing was saved this time; close some, or try again.", s.where.host)
	case "55P03", "40001", "40P01":
		return fault.Wrap(cause, fault.Busy, "Another program has been writing to the database %s for a while. Nothing was saved this time; try again.", s.where)
	case "57014":
		return fault.Wrap(cause, fault.Cancelled, "It was stopped before it was done. Nothing was half saved; try again.")
	case "57P03":
		return fault.Wrap(cause, fault.Busy, "The PostgreSQL server at %s is starting or stopping. Nothing was saved this time; try again in a moment.", s.where.host)
	case "57P01", "57P02", "57P05", "08006", "08003", "25P03":
		s.broke.Store(time.Now().UnixNano())
		return s.cut(cause)
	case "XX001", "XX002":
		return fault.Wrap(cause, fault.Damaged, "The database %s is damaged on its server. Nothing was changed; bring back the newest backup of it.", s.where)
	}
	return e
}

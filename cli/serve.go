package cli

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"time"

	"lastbolt/demo"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/paper"
	"lastbolt/store/sqlite"
	"lastbolt/web"
)

// The time limits of a connection. Answers are small; only a photo over a weak
// network takes long, and the live page never ends, so writes have no limit.
const (
	headerTime   = 10 * time.Second
	readTime     = 5 * time.Minute
	idleTime     = 2 * time.Minute
	shutdownTime = 5 * time.Second
)

type serveCommand struct {
	Listen string `help:"Address to listen on." default:"127.0.0.1:8420"`
}

func (c serveCommand) Run(ctx context.Context, env *Env) error {
	st, err := sqlite.Open(env.DataDir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	return serve(ctx, env, st, c.Listen)
}

type demoCommand struct {
	Listen string `help:"Address to listen on." default:"127.0.0.1:8420"`
}

func (c demoCommand) Run(ctx context.Context, env *Env) error {
	dir, err := os.MkdirTemp(env.Cache, "lastbolt-demo-")
	if err != nil {
		return fault.Wrap(err, fault.ReadOnly, "No fresh folder could be made in %s: set TMPDIR to a folder of yours", env.Cache)
	}
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	if err := demo.Fill(ctx, st, env.Now()); err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "Invented demo data in %s\n", dir)
	return serve(ctx, env, st, c.Listen)
}

func closing(env *Env, st *sqlite.Store) {
	if err := st.Close(); err != nil {
		fmt.Fprintln(env.Err, "lastbolt:", err)
	}
}

func host(env *Env, st *sqlite.Store) *web.Host {
	return &web.Host{
		Book: job.NewBook(st, recorder(*env, "")), Documents: st, Files: st, Now: env.Now, Zone: time.Local,
		Log: slog.New(slog.NewTextHandler(env.Err, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Paper: func(kind string, s *job.State, r *http.Request) ([]byte, error) {
			return printed(r.Context(), st, env, kind, s, "http://"+r.Host, paper.Options{})
		},
	}
}

// serve answers until the context ends, then lets running answers finish.
func serve(ctx context.Context, env *Env, st *sqlite.Store, address string) error {
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return fault.Wrap(err, fault.Busy, "Nothing can listen on %s: another program may hold it. Choose another, as in --listen 127.0.0.1:8421", address)
	}
	if notice := st.Notice(); notice != "" {
		fmt.Fprintln(env.Err, notice)
	}
	server := &http.Server{
		Handler: host(env, st).Handler(), ReadHeaderTimeout: headerTime, ReadTimeout: readTime, IdleTimeout: idleTime,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	url := "http://" + listener.Addr().String() + "/"
	fmt.Fprintln(env.Out, url)
	if env.Started != nil {
		env.Started(url)
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	if err := server.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}

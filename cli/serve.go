package cli

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"lastbolt/demo"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/lan"
	"lastbolt/paper"
	"lastbolt/quantity"
	"lastbolt/store/backups"
	"lastbolt/store/sqlite"
	"lastbolt/web"
)

// The time limits of a connection. Answers are small; only a photo or the
// phone's program over a weak network takes long. The live page never ends, so
// its writes have no limit, see endLive.
const (
	headerTime   = 10 * time.Second
	readTime     = 5 * time.Minute
	writeTime    = 10 * time.Minute
	idleTime     = 2 * time.Minute
	shutdownTime = 5 * time.Second
	headerBytes  = 64 << 10 // no browser of a person sends as much
)

type serveCommand struct {
	lanOptions
	backupOptions
	openDoor
	Listen string `arg:"--listen" help:"Address to listen on." default:"127.0.0.1:8420"`
}

func (c serveCommand) Run(ctx context.Context, env *Env) error {
	if err := c.openDoor.allows(c.Listen, c.Lan); err != nil {
		return err
	}
	if err := c.backupOptions.check(); err != nil {
		return err
	}
	listener, err := listen(c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close() // when it serves, serving has closed it
	done := progress(env.Err, "opening")
	st, err := open(ctx, env)
	done()
	if err != nil {
		return err
	}
	defer closing(env, st)
	return serve(ctx, env, st, listener, c.lanOptions, c.backupOptions.keeper(env, st))
}

type demoCommand struct {
	openDoor
	Listen string `arg:"--listen" help:"Address to listen on." default:"127.0.0.1:8420"`
}

func (c demoCommand) Run(ctx context.Context, env *Env) error {
	if err := c.openDoor.allows(c.Listen, false); err != nil {
		return err
	}
	listener, err := listen(c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close() // when it serves, serving has closed it
	dir, err := os.MkdirTemp(env.Cache, "lastbolt-demo-")
	if err != nil {
		return fault.Wrap(err, fault.ReadOnly, "No fresh folder could be made in %s: set TMPDIR to a folder of yours", env.Cache)
	}
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	done := progress(env.Err, "filling")
	err = demo.Fill(ctx, st, env.Now())
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "Invented demo data in %s\n", dir)
	here := *env
	here.DataDir = dir
	return serve(ctx, &here, st, listener, lanOptions{}, nil)
}

func host(env *Env, st data) *web.Host {
	return &web.Host{
		Book: job.NewBook(st, recorder(*env, "")), Documents: st, Files: sparing{st, env}, Now: env.Now, Zone: time.Local,
		Log: slog.New(slog.NewTextHandler(env.Err, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Paper: func(kind string, s *job.State, r *http.Request) ([]byte, error) {
			return printed(r.Context(), st, env, kind, r.FormValue("item"), s, lan.Base(r), paper.Options{Units: quantity.Imperial()}) // as the pages convert
		},
	}
}

// listen takes an address before anything is opened or made for it.
func listen(address string) (net.Listener, error) {
	listener, err := net.Listen("tcp", address)
	switch {
	case err == nil:
		return listener, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fault.Wrap(err, fault.Busy, "Another program holds %s already, perhaps another Lastbolt. Choose another, as in --listen 127.0.0.1:8421", address)
	}
	return nil, fault.Wrap(err, fault.Bad, "Nothing can listen on %s. Choose an address of this machine and a port, as in --listen 127.0.0.1:8421", address)
}

// serve answers until the context ends, then lets running answers finish. The
// keeper of backups is nil where none are kept.
func serve(ctx context.Context, env *Env, st data, listener net.Listener, phones lanOptions, k *backups.Keeper) error {
	if notice := st.Notice(); notice != "" {
		fmt.Fprintln(env.Err, notice)
	}
	host := host(env, st)
	host.Room = room(env, st, k)
	pages, err := phones.phoneProgram.pages(sparing{st, env}, host)
	if err != nil {
		return err
	}
	pages = bounded(host, warned(env, pages))
	if pages, err = phones.openNetwork(ctx, env, st, listener, pages); err != nil {
		return err
	}
	calls := newConnections(listener)
	server := &http.Server{
		Handler: calls.letGo(endLive(ctx, pages)), ReadHeaderTimeout: headerTime, ReadTimeout: readTime, IdleTimeout: idleTime, MaxHeaderBytes: headerBytes,
	}
	urls := addresses(listener.Addr())
	for _, url := range urls {
		fmt.Fprintln(env.Out, url)
	}
	if env.Started != nil {
		env.Started(urls[0])
	}
	watching, stop := context.WithCancel(ctx)
	defer watch(watching, env, st, k)()
	defer stop()
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(calls) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	err = server.Shutdown(end)
	if errors.Is(err, context.DeadlineExceeded) {
		err = server.Close() // an upload that does not come to its end
	}
	return err
}

// endLive ends the live pages, which would go on for ever, when the server is
// to stop. Every other answer runs to its end: what it saves is saved, and the
// person is told so; but nobody may take for ever to read it.
func endLive(stop context.Context, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		// A host that cannot set one does without; the connection keeps the last
		// one set, so that it is taken away again for what has no end.
		_ = http.NewResponseController(w).SetWriteDeadline(writeEnd(r))
		if isLive(r) {
			live, cancel := context.WithCancel(r.Context())
			defer cancel()
			defer context.AfterFunc(stop, cancel)()
			r = r.WithContext(live)
		}
		next.ServeHTTP(w, r)
	})
}

// isLive tells whether an answer is to go on for as long as the page is open.
func isLive(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "text/event-stream")
}

// writeEnd is when an answer must have been read.
func writeEnd(r *http.Request) time.Time {
	if isLive(r) {
		return time.Time{}
	}
	return time.Now().Add(writeTime)
}

// addresses are the ones to type into a browser; for a server that listens on
// every network, that of this machine and those a phone can reach it by.
func addresses(at net.Addr) []string {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return []string{"http://" + at.String() + "/"}
	}
	port := strconv.Itoa(tcp.Port)
	urls := []string{"http://" + net.JoinHostPort("127.0.0.1", port) + "/"}
	own, err := net.InterfaceAddrs()
	if err != nil {
		return urls // the machine's own address always answers
	}
	for _, a := range own {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			urls = append(urls, "http://"+net.JoinHostPort(n.IP.String(), port)+"/")
		}
	}
	return urls
}

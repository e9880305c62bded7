package cli

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"

	"lastbolt/fault"
	"lastbolt/lan"
)

// lanOptions let paired phones in.
type lanOptions struct {
	Lan       bool   `arg:"--lan" help:"Let paired phones in this network in, over TLS."`
	LanListen string `arg:"--lan-listen" help:"Address for the phones." default:":8443"`

	phoneProgram
}

// openDoor lets a server answer in the network without asking who is there.
type openDoor struct {
	LetEveryoneIn bool `arg:"--let-everyone-in" help:"With --listen on an address of the network: let everyone in it read and change everything."`
}

// allows refuses an address that others can reach, unless it was said that they
// may: what stands there is a workshop's whole record.
func (o openDoor) allows(address string, phones bool) error {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil // listening says what is wrong with it
	}
	ip := net.ParseIP(host)
	if host == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	if phones {
		return fault.New(fault.Bad, "--listen %s would let everyone in without pairing. Leave --listen out; phones come in by --lan-listen.", address)
	}
	if !o.LetEveryoneIn {
		return fault.New(fault.Bad, "On --listen %s everyone in the network could read and change everything here. Use --lan to let only paired phones in, or say --let-everyone-in if that is what you want.", address)
	}
	return nil
}

// openNetwork serves the pages to the network as well, until the context ends,
// and gives what this machine itself then sees.
func (o lanOptions) openNetwork(ctx context.Context, env *Env, st data, here net.Listener, pages http.Handler) (http.Handler, error) {
	at, ok := here.Addr().(*net.TCPAddr)
	if ok && !at.IP.IsLoopback() { // it was asked for, see allows
		fmt.Fprintln(env.Err, "Everyone in this network can read and change everything here. Use --lan to let only paired phones in.")
		return lan.Guarded(pages), nil
	}
	if !o.Lan {
		return lan.OnlyHere(lan.Guarded(pages)), nil
	}
	door, err := lan.OpenKept(env.lanFolder(), doorOf(env, st), env.Now)
	if err != nil {
		return nil, err
	}
	listener, err := listen(o.LanListen)
	if err != nil {
		return nil, err
	}
	// A stranger's broken handshake is no news; what is, the pages log themselves.
	quiet := slog.NewLogLogger(slog.NewTextHandler(env.Err, &slog.HandlerOptions{Level: slog.LevelError}), slog.LevelDebug)
	server := func(h http.Handler) *http.Server {
		return &http.Server{Handler: endLive(ctx, h), ReadHeaderTimeout: headerTime, ReadTimeout: readTime, IdleTimeout: idleTime, MaxHeaderBytes: headerBytes, ErrorLog: quiet}
	}
	secure, plain := server(door.Network(pages)), server(door.Plain())
	go func() {
		if err := door.Serve(listener, secure, plain); err != nil && ctx.Err() == nil {
			fmt.Fprintln(env.Err, "lastbolt: the phones' side ended:", err)
		}
	}()
	context.AfterFunc(ctx, func() {
		_ = listener.Close()
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
		defer cancel()
		_ = secure.Shutdown(end) // what still runs then is cut with the process
		_ = plain.Shutdown(end)
	})
	fmt.Fprintf(env.Err, "Phones: https on %s. Pair one at %sphones/pair\n", listener.Addr(), addresses(here.Addr())[0])
	return door.Local(pages), nil
}

package parts

import "context"

// A Notice is what the host of the pages says on every one of them.
type Notice struct {
	Text     string // "Only on this phone"
	Link     Link   // where to do something about it
	Urgent   bool
	Mark     string // of what the host had when it made the page, for its script; may be empty
	Manifest string // address of the web app manifest; empty for none
	Script   string // address of a script of the host's own; empty for none
}

type noticeKey struct{}

// WithNotice has every [Page] shown under the context carry the notice.
func WithNotice(ctx context.Context, n Notice) context.Context {
	return context.WithValue(ctx, noticeKey{}, n)
}

func noticeOf(ctx context.Context) Notice {
	n, _ := ctx.Value(noticeKey{}).(Notice)
	return n
}

func noticeClass(n Notice) string {
	if n.Urgent {
		return "tag is-now"
	}
	return "soft"
}

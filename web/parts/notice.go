package parts

import (
	"cmp"
	"context"

	"lastbolt/web/ui"
)

// A Notice is what the host of the pages says on every one of them.
type Notice struct {
	Text     string // "Only on this phone"
	Link     Link   // where to do something about it
	Urgent   bool
	Mark     string // of what the host had when it made the page, for its script; may be empty
	Manifest string // address of a web app manifest of the host's own; may be empty
	Script   string // address of a script of the host's own; empty for none
}

type noticeKey struct{}

// WithNotice has every [Page] shown under the context carry the notice. What is
// urgent is not hidden by what is not.
func WithNotice(ctx context.Context, n Notice) context.Context {
	if before := noticeOf(ctx); before.Urgent && !n.Urgent {
		n.Text, n.Link, n.Urgent = before.Text, before.Link, true
	}
	return context.WithValue(ctx, noticeKey{}, n)
}

func noticeOf(ctx context.Context) Notice {
	n, _ := ctx.Value(noticeKey{}).(Notice)
	return n
}

func manifestOf(ctx context.Context) string {
	return cmp.Or(noticeOf(ctx).Manifest, ui.ManifestURL)
}

func noticeClass(n Notice) string {
	if n.Urgent {
		return "tag is-now"
	}
	return "soft"
}

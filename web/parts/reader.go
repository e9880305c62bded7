package parts

import "context"

// A Reader is somebody who may look and change nothing. It is the one home of
// the question: the frame of every [Page] says Why and puts its forms to rest,
// and no link leads to a page that is there only to change something.
type Reader struct {
	Why   string                 // one sentence
	Forms func(href string) bool // a page that is only a form
}

type readerKey struct{}

// WithReader says that who looks at the pages under the context may change
// nothing.
func WithReader(ctx context.Context, r Reader) context.Context {
	return context.WithValue(ctx, readerKey{}, r)
}

// whyNot is why nothing may be changed here; empty when it may.
func whyNot(ctx context.Context) string {
	r, _ := ctx.Value(readerKey{}).(Reader)
	return r.Why
}

type barredKey struct{}

// WithBarred says at which addresses who looks at the pages under the context
// would be turned away: no link leads there.
func WithBarred(ctx context.Context, barred func(href string) bool) context.Context {
	return context.WithValue(ctx, barredKey{}, barred)
}

// mayFollow tells whether a link leads anywhere for who is asking.
func mayFollow(ctx context.Context, href string) bool {
	if barred, is := ctx.Value(barredKey{}).(func(string) bool); is && barred(href) {
		return false
	}
	r, is := ctx.Value(readerKey{}).(Reader)
	return !is || !r.Forms(href)
}

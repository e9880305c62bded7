package parts

import "context"

type linksKey struct{}

// WithLinks has the menu of every [Page] shown under the context begin with
// links of the host's own, as to the phones that it lets in.
func WithLinks(ctx context.Context, links ...Link) context.Context {
	return context.WithValue(ctx, linksKey{}, links)
}

func linksOf(ctx context.Context) []Link {
	l, _ := ctx.Value(linksKey{}).([]Link)
	return l
}

// menuWord is what the menu of a page with a navigation is called.
func menuWord(ctx context.Context, p PageInfo) string {
	if len(linksOf(ctx)) > 0 && !p.Bare {
		return "More"
	}
	return "Screen"
}

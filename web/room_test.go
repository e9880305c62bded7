package web_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/memory"
	"lastbolt/web"
)

func TestTheStoragePageOfAPhoneSaysWhatItsBrowserGrants(t *testing.T) {
	for name, tt := range map[string]struct {
		browser web.Browser
		says    []string
		not     []string
	}{
		"alone": {web.Browser{Used: 31_000_000, Granted: 6_000_000_000, Alone: true},
			[]string{"Only on this phone", "31 MB, with the program itself", "6.0 GB", "may clear it", "data-phone-ask"}, []string{"nearly used up"}},
		"promised":     {web.Browser{Used: 31_000_000, Granted: 6_000_000_000, Promised: true}, []string{"has promised", "Kept by the browser"}, []string{"data-phone-ask", "Only on this phone"}},
		"nearly full":  {web.Browser{Used: 5_900_000_000, Granted: 6_000_000_000}, []string{"nearly used up: 100 MB left"}, nil},
		"over full":    {web.Browser{Used: 7_000_000, Granted: 6_000_000}, []string{"nearly used up: 0 bytes left"}, nil},
		"says nothing": {web.Browser{}, []string{"may clear it"}, []string{"nearly used up", "In use", "The browser grants"}},
	} {
		t.Run(name, func(t *testing.T) {
			st := memory.New()
			host := &web.Host{Book: job.NewBook(st, nil), Documents: st, Files: st, Now: func() time.Time { return noon }}
			host.Room = &web.Room{Store: st, Where: "this browser", Browser: func(context.Context) web.Browser { return tt.browser }}
			page := get(t, host.Handler(), "/storage").Body.String()
			for _, words := range tt.says {
				if !strings.Contains(page, words) {
					t.Errorf("it does not say %q:\n%s", words, page)
				}
			}
			for _, words := range tt.not {
				if strings.Contains(page, words) {
					t.Errorf("it says %q", words)
				}
			}
		})
	}
}

package postgres

import (
	"strings"
	"testing"

	"lastbolt/fault"
)

// FuzzAddress reads any address of a database with a password in it: no
// sentence and no name of the place ever repeats that.
func FuzzAddress(f *testing.F) {
	f.Add("postgres://ann:", "@host:5432/lastbolt")
	f.Add("postgres://ann:", "@host:x/lastbolt?sslmode=maybe")
	f.Add("postgresql://", "@%zz")
	f.Add("postgres://host?password=", "&connect_timeout=-1")
	f.Fuzz(func(t *testing.T, before, behind string) {
		const password = "kept-to-myself"
		config, at, err := parse(before + password + behind)
		if err != nil {
			if strings.Contains(err.Error(), password) || strings.Contains(fault.Say(err), password) {
				t.Fatalf("it says %v", err)
			}
			return
		}
		if config.Password == password && config.User != password && strings.Contains(at.String(), password) {
			t.Fatalf("the place is called %s", at)
		}
	})
}

package access

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the expected texts")

// Each testdata/broken/NAME.yaml has the lines it must be refused with in
// NAME.want, advice left out.
func TestEveryBrokenFileIsExplained(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(files) < 40 {
		t.Fatalf("found %d broken files: %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		t.Run(name, func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			m, err := Parse(name+".yaml", src)
			if err == nil || m != nil {
				t.Fatalf("Parse gave %v, %v; want no map and an error", m, err)
			}
			var found Problems
			if !errors.As(err, &found) {
				t.Fatalf("the error is a %T", err)
			}
			for _, p := range found {
				if p.Line < 1 || p.Column < 1 || p.What == "" || p.Mend == "" {
					t.Errorf("incomplete: %+v", p)
				}
			}
			want := strings.TrimSuffix(file, ".yaml") + ".want"
			got := err.Error() + "\n"
			if *update {
				if err := os.WriteFile(want, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			expected, err := os.ReadFile(want)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(expected) {
				t.Errorf("got\n%swant\n%s", got, expected)
			}
		})
	}
}

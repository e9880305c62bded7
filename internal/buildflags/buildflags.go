// Package buildflags reads files of go build's flags, which make reads too, so that
// what tests and benches compile is what people get.
package buildflags

import (
	"os"
	"strings"
)

// Read gives the flags of a file: one a line, lines that begin with # aside.
func Read(path string) ([]string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var flags []string
	for line := range strings.Lines(string(text)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			flags = append(flags, line)
		}
	}
	return flags, nil
}

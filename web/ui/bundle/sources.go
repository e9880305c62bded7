package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
)

// sourceSum is a checksum over the name and content of every source of the
// bundle, in the order of their names. Package ui's test computes the same.
func sourceSum(ui string) (string, error) {
	h := sha256.New()
	for _, pattern := range []string{"css/*.css", "fonts/*", "img/*", "src/*.ts"} {
		names, err := filepath.Glob(filepath.Join(ui, pattern))
		if err != nil {
			return "", err
		}
		if len(names) == 0 {
			return "", fmt.Errorf("nothing matches %s", pattern)
		}
		for _, name := range names {
			content, err := os.ReadFile(name)
			if err != nil {
				return "", err
			}
			fmt.Fprintf(h, "%s %d\n", filepath.Base(name), len(content))
			h.Write(content)
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

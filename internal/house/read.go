package house

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// ReadPackages lists the module's packages with root as the module's folder.
func ReadPackages(root string) ([]Package, error) {
	out, err := output(root, "go", "list", "-json=ImportPath,Name,Dir,GoFiles,IgnoredGoFiles,Imports,Deps", "./...")
	if err != nil {
		return nil, err
	}
	var packages []Package
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p Package
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return packages, nil
		} else if err != nil {
			return nil, fmt.Errorf("house: reading what go list says: %w", err)
		}
		packages = append(packages, p)
	}
}

// ReadFiles reads every file that Git has or would take.
func ReadFiles(root string) ([]File, error) {
	out, err := output(root, "git", "ls-files", "-z", "--cached", "--others", "--exclude-standard")
	if err != nil {
		return nil, err
	}
	var files []File
	for _, name := range strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00") {
		data, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
		if errors.Is(err, fs.ErrNotExist) {
			continue // deleted, not yet committed
		}
		if err != nil {
			return nil, fmt.Errorf("house: %w", err)
		}
		files = append(files, File{name, data})
	}
	return files, nil
}

func output(dir, argv0 string, args ...string) ([]byte, error) {
	cmd := exec.Command(argv0, args...)
	cmd.Dir = dir
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("house: %s %s: %w: %s", argv0, strings.Join(args, " "), err, bytes.TrimSpace(stderr.Bytes()))
	}
	return out, nil
}

package pgtest

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Kill ends every process of the server at once and by force, at whatever it is
// doing, so that nothing is written any more. The next [Server.Up] recovers.
func (s *Server) Kill() error {
	pid, err := s.Pid()
	if err != nil {
		return err
	}
	all := append([]int{pid}, children(pid)...)
	for i, id := range all {
		p, err := os.FindProcess(id)
		if err == nil {
			err = p.Kill()
		}
		if err != nil && i == 0 {
			return err
		} // a child may have ended by itself
	}
	for end := time.Now().Add(10 * time.Second); len(alive(all)) > 0; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			return fmt.Errorf("the processes %v do not end", alive(all))
		}
	}
	// A process that nobody has asked after yet still has its number, and the
	// next server would take it for a running one.
	return os.Remove(filepath.Join(s.data(), "postmaster.pid"))
}

// children are the processes that a process started, as /proc tells; none where
// there is no /proc, and the server's own then end by themselves.
func children(pid int) []int {
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	var out []int
	for _, path := range stats {
		if parent, state := parentOf(path); parent == pid && state != "Z" {
			id, _ := strconv.Atoi(filepath.Base(filepath.Dir(path)))
			out = append(out, id)
		}
	}
	return out
}

// parentOf reads the parent and the state of a process, 0 for one that is gone.
// Its name, in brackets, may hold anything.
func parentOf(path string) (parent int, state string) {
	text, err := os.ReadFile(path)
	if err != nil {
		return 0, ""
	}
	fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
	if len(fields) < 2 {
		return 0, ""
	}
	parent, _ = strconv.Atoi(fields[1])
	return parent, fields[0]
}

func alive(pids []int) []int {
	var out []int
	for _, id := range pids {
		path := fmt.Sprintf("/proc/%d/stat", id)
		if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
			continue
		}
		if _, state := parentOf(path); state != "Z" && state != "" {
			out = append(out, id)
		}
	}
	return out
}

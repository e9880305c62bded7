//go:build unix

package pgtest

import (
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// other is whom the server runs as when this process is root, which PostgreSQL
// refuses: its own user where there is one, or else nobody.
func other() (uid, gid int, needed bool) {
	if os.Geteuid() != 0 {
		return 0, 0, false
	}
	for _, name := range []string{"postgres", "nobody"} {
		if u, err := user.Lookup(name); err == nil {
			uid, _ := strconv.Atoi(u.Uid)
			gid, _ := strconv.Atoi(u.Gid)
			return uid, gid, true
		}
	}
	return 65534, 65534, true
}

func give(path string) error {
	if uid, gid, needed := other(); needed {
		return os.Chown(path, uid, gid)
	}
	return nil
}

func asOther(cmd *exec.Cmd) {
	if uid, gid, needed := other(); needed {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
	}
}

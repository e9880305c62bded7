package lan

import (
	"fmt"
	"net"
	"testing"
)

func TestTheAddressThatGoesOutComesFirstAndTheOthersKeepTheirOrder(t *testing.T) {
	ip := net.ParseIP
	all := func() []net.IP { return []net.IP{ip("172.17.0.1"), ip("10.0.0.2"), ip("192.168.1.20"), ip("fd00::1")} }
	for name, row := range map[string]struct {
		usual net.IP
		want  string
	}{
		"one of the middle": {ip("192.168.1.20"), "[192.168.1.20 172.17.0.1 10.0.0.2 fd00::1]"},
		"the first":         {ip("172.17.0.1"), "[172.17.0.1 10.0.0.2 192.168.1.20 fd00::1]"},
		"the last":          {ip("fd00::1"), "[fd00::1 172.17.0.1 10.0.0.2 192.168.1.20]"},
		"one of none":       {ip("192.0.2.7"), "[172.17.0.1 10.0.0.2 192.168.1.20 fd00::1]"},
		"no network":        {nil, "[172.17.0.1 10.0.0.2 192.168.1.20 fd00::1]"},
	} {
		if got := fmt.Sprint(usualFirst(all(), row.usual)); got != row.want {
			t.Errorf("%s: %s, want %s", name, got, row.want)
		}
	}
}

package job

import (
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"sync"
	"time"
)

// A Recorder makes events: it knows the time, who records, and makes ids. The
// host gives it a clock and ids (see [IDs]). It is as safe for many goroutines
// as these two are.
type Recorder struct {
	Now   func() time.Time
	NewID func() string
	By    string
	// Device names the device that records, the same at every start; empty is a
	// computer's own. It goes into what two devices may contradict each other in,
	// see [ConflictValue].
	Device string
}

// A stamped is data that says which device it was recorded on.
type stamped interface{ on(device string) any }

// Event makes one event. It panics only when data cannot be written as JSON,
// which no data type of this package can cause.
func (r *Recorder) Event(job string, kind Kind, data any) Event {
	if d, ok := data.(stamped); ok {
		data = d.on(r.Device)
	}
	var raw json.RawMessage
	if data != nil {
		b, err := json.Marshal(data)
		if err != nil {
			panic(fmt.Sprintf("job: %s: %v", kind, err))
		}
		raw = b
	}
	return Event{ID: r.NewID(), Job: job, Kind: kind, At: r.Now().UTC().Truncate(time.Millisecond), By: r.By, Data: raw}
}

// IDs makes sortable ids in the layout of a version 7 UUID (RFC 9562 section
// 5.7): 48 bits of Unix milliseconds, then a counter of 12 bits, then 62
// random bits. The ids of one IDs strictly rise, also when the clock stands
// still or is set back. Safe for many goroutines.
type IDs struct {
	now    func() time.Time
	random io.Reader

	mu    sync.Mutex
	last  uint64 // milliseconds of the last id
	count uint64 // ids made in that millisecond, 12 bits
}

// NewIDs makes ids from a clock and a source of random bytes.
func NewIDs(now func() time.Time, random io.Reader) *IDs {
	return &IDs{now: now, random: random}
}

// New makes the next id. A source of random bytes that fails leaves zeros:
// the id still sorts, and is unique on this device.
func (g *IDs) New() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	ms := uint64(max(g.now().UnixMilli(), 0)) & (1<<48 - 1)
	if ms > g.last {
		g.last, g.count = ms, 0
	} else if g.count++; g.count > 0xfff {
		g.last, g.count = g.last+1, 0
	}
	var b [16]byte
	_, _ = io.ReadFull(g.random, b[8:])
	binary.BigEndian.PutUint64(b[:8], g.last<<16|0x7000|g.count)
	b[8] = b[8]&0x3f | 0x80
	t := hex.EncodeToString(b[:])
	return t[:8] + "-" + t[8:12] + "-" + t[12:16] + "-" + t[16:20] + "-" + t[20:]
}

// following is id where it sorts behind last, the latest id of a job that its
// recorder has seen, and otherwise an id right behind last with the random part
// of id. So what is recorded with another record in view sorts behind that
// record, however wrong the clocks of the two devices are, and a wrong clock
// reaches no further than the jobs it recorded in. Ids that are not laid out as
// ours, and one at the end of time, leave id as it is.
func following(id, last string) string {
	if id > last {
		return id
	}
	ms, count, ok := idTime(last)
	next := ms<<12 + count + 1
	if _, _, ours := idTime(id); !ok || !ours || next>>60 != 0 {
		return id
	}
	head := fmt.Sprintf("%016x", next>>12<<16|0x7000|next&0xfff)
	return head[:8] + "-" + head[8:12] + "-" + head[12:] + id[18:]
}

// idTime takes the milliseconds and the counter out of an id.
func idTime(id string) (ms, count uint64, ok bool) {
	if len(id) != 36 || id[8] != '-' || id[13] != '-' || id[14] != '7' {
		return 0, 0, false
	}
	b, err := hex.DecodeString(id[:8] + id[9:13] + id[14:18])
	if err != nil {
		return 0, 0, false
	}
	v := binary.BigEndian.Uint64(b)
	return v >> 16, v & 0xfff, true
}

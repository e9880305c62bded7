package lan

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"lastbolt/fault"
)

// The roles: what a person may do.
type Role string

// An owner may do everything, a mechanic all but manage phones and people, and
// who only reads records nothing.
const (
	Owner    Role = "owner"
	Mechanic Role = "mechanic"
	ReadOnly Role = "read only"
)

// A Person shares the phones.
type Person struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role Role   `json:"role"`
	PIN  string `json:"pin"` // a slow hash, see hashPIN

	Tries *Tries `json:"tries,omitempty"` // of this person's PIN, on any phone
}

// A Device is a paired phone. Of its token only the SHA-256 is kept: the token
// is 256 random bits, so that a fast hash is enough. Signing in gives it a new
// one; the old is good until the new one is first shown, so that a phone whose
// answer was lost on the way is still paired.
type Device struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Token  string    `json:"token"`
	Fresh  string    `json:"fresh,omitempty"`
	Paired time.Time `json:"paired"`
	Seen   time.Time `json:"seen"`             // to about ten minutes
	Person string    `json:"person,omitempty"` // who has it in hand
	Until  time.Time `json:"until"`            // when it asks again who that is
	Names  []string  `json:"names,omitempty"`  // of all who ever signed in on it: it may send what they recorded
	Tries  *Tries    `json:"tries,omitempty"`  // of any person's PIN, on this phone
}

// state is the file door.json.
type state struct {
	Devices []Device `json:"devices"`
	People  []Person `json:"people"`
}

const (
	codeTime   = 5 * time.Minute // a pairing code is good this long
	codeLength = 10
	// codeLetters leaves out what is read as another: 10 of 31 are 49 bits,
	// against some 40 tries in the time a code is good.
	codeLetters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
	personTime  = 12 * time.Hour // a shared phone asks for the PIN again after this
	seenEvery   = 10 * time.Minute
)

// A Door decides who comes in. Its methods are safe for many goroutines.
type Door struct {
	Authority *Authority

	keeper Keeper
	now    func() time.Time

	mu      sync.Mutex
	state   state
	version string // of the state, as the keeper calls it
	code    string // the one that is good now; never written down
	until   time.Time
	rounds  int
	at      net.Addr      // of the listener, once it serves
	news    chan struct{} // closed at the next change

	requests, pairs, allPairs *limiter
}

// Open opens the folder, which is made when it is not there: the authority,
// the paired devices and the people. Its files are readable by their owner
// alone, and are in no backup or export.
func Open(dir string, now func() time.Time) (*Door, error) { return OpenKept(dir, InFolder(dir), now) }

// OpenKept is [Open] with the devices and people kept elsewhere, where they are
// those of every process that shares them; the authority is this machine's own.
func OpenKept(dir string, k Keeper, now func() time.Time) (*Door, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, unwritable(dir, err)
	}
	free, err := takeLock(filepath.Join(dir, "authority.lock")) // or two that start at once make one each
	if err != nil {
		return nil, unwritable(dir, err)
	}
	defer free()
	a, err := openAuthority(dir, now)
	if err != nil {
		return nil, err
	}
	d := &Door{Authority: a, keeper: k, now: now, rounds: pinRounds, news: make(chan struct{}),
		requests: newLimiter(20*time.Millisecond, 300),
		pairs:    newLimiter(30*time.Second, 5), allPairs: newLimiter(15*time.Second, 20)}
	return d, d.look()
}

// look reads the list anew when another process has changed it. The caller
// holds the lock, or is alone.
func (d *Door) look() error {
	content, version, err := d.keeper.Load()
	if err != nil || version == d.version {
		return err
	}
	now, err := parseState(content)
	if err != nil {
		return err
	}
	d.take(now, version)
	return nil
}

// take makes a list the one that is known, and wakes who waits for changes when
// it looks different. The caller holds the lock.
func (d *Door) take(s state, version string) {
	same := d.state.looksLike(s)
	d.state, d.version = s, version
	if !same {
		d.tell()
	}
}

// parseState reads a list, none where there is none yet.
func parseState(content []byte) (s state, err error) {
	if content != nil && json.Unmarshal(content, &s) != nil {
		return s, fault.New(fault.Damaged, "The list of paired phones cannot be read. Move the file door.json away and pair every phone anew.")
	}
	return s, nil
}

// lock is for whoever reads or changes the list: it is then the newest. One
// that cannot be read just now stays as it is known.
func (d *Door) lock() {
	d.mu.Lock()
	_ = d.look()
}

// change applies f to the list as every process has it, and lets the outcome
// count once it is durably kept. The caller holds the lock.
func (d *Door) change(f func(*state) error) error {
	var next state
	version, err := d.keeper.Change(func(content []byte) (changed []byte, err error) {
		if next, err = parseState(content); err != nil {
			return nil, err
		}
		if err := f(&next); err != nil {
			return nil, err
		}
		return json.MarshalIndent(next, "", "\t")
	})
	if err != nil {
		return err
	}
	d.take(next, version)
	return nil
}

// tell wakes who waits for changes. The caller holds the lock.
func (d *Door) tell() {
	close(d.news)
	d.news = make(chan struct{})
}

// changed is closed at the next change of phones, people or the code.
func (d *Door) changed() <-chan struct{} {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.news
}

// Code is a pairing code that is good once and for minutes. Until then it is
// the same one, so that loading the page again does not void what a phone has
// just read.
func (d *Door) Code() (code string, until time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if now := d.now(); d.code == "" || !now.Before(d.until.Add(-codeTime/2)) {
		d.code, d.until = newCode(), now.Add(codeTime)
		d.tell() // a page elsewhere shows one that is not good any more
	}
	return d.code, d.until
}

// codeEnds is when the code shown last is not good any more.
func (d *Door) codeEnds() time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.until
}

func newCode() string {
	var b strings.Builder
	var one [1]byte
	for b.Len() < codeLength {
		_, _ = rand.Read(one[:]) // never fails: it ends the program instead
		if n := int(one[0] & 31); n < len(codeLetters) {
			b.WriteByte(codeLetters[n])
		}
	}
	return b.String()
}

// plainCode is a code as typed: any case, with or without gaps.
func plainCode(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -\t", r) {
			return -1
		}
		return r
	}, strings.ToUpper(s))
}

// Pair spends the code and gives the new device's token, which is shown
// nowhere again. Tries are limited by address and altogether.
func (d *Door) Pair(code, name, address string) (token string, err error) {
	d.lock()
	defer d.mu.Unlock()
	now := d.now()
	if !d.pairs.take(address, now) || !d.allPairs.take("", now) {
		return "", fault.New(fault.Busy, "Too many tries. Wait half a minute, then take the code that the computer shows then.")
	}
	if d.code == "" || !now.Before(d.until) || !same(plainCode(code), d.code) {
		return "", fault.New(fault.Bad, "This code is not good, or not any more: each is good once and for five minutes. Take the one the computer shows now.")
	}
	d.code = ""
	name = plainName(name)
	if name == "" {
		name = "phone of " + now.Format("2 Jan 2006 15:04")
	}
	token = newToken()
	return token, d.change(func(s *state) error {
		s.Devices = append(s.Devices, Device{ID: rand.Text()[:10], Name: name, Token: tokenHash(token), Paired: now.UTC(), Seen: now.UTC()})
		return nil
	})
}

// newToken is 260 random bits.
func newToken() string { return rand.Text() + rand.Text() }

// same compares in a time that does not depend on where they differ.
func same(a, b string) bool { return sha256.Sum256([]byte(a)) == sha256.Sum256([]byte(b)) }

func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// plainName is a name as it may stand in a list: one line, of a bearable length.
func plainName(s string) string {
	s = strings.Join(strings.Fields(strings.ToValidUTF8(s, "")), " ")
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60])
	}
	return s
}

// device finds the device of a token, and notes that it was here.
func (d *Door) device(token string) (Device, bool) {
	if token == "" {
		return Device{}, false
	}
	hash := tokenHash(token)
	d.lock()
	defer d.mu.Unlock()
	x, ok := d.state.holder(hash)
	if !ok {
		return Device{}, false
	}
	now := d.now()
	if x.Fresh != hash && now.Sub(x.Seen) <= seenEvery {
		return x, true
	}
	// What cannot be kept, as on a full disk, keeps nobody out.
	_ = d.change(func(s *state) error {
		for i := range s.Devices {
			if s.Devices[i].Fresh == hash { // it has arrived: the old one ends
				s.Devices[i].Token, s.Devices[i].Fresh = hash, ""
			}
			if s.Devices[i].Token == hash && now.Sub(s.Devices[i].Seen) > seenEvery {
				s.Devices[i].Seen = now.UTC()
			}
		}
		return nil
	})
	return d.state.holder(hash) // another process may have put it out just now
}

// holder is the device whose token has the hash.
func (s *state) holder(hash string) (Device, bool) {
	i := slices.IndexFunc(s.Devices, func(x Device) bool { return x.Token == hash || x.Fresh == hash })
	if i < 0 {
		return Device{}, false
	}
	return s.Devices[i], true
}

// Devices are the paired ones, in the order they were paired.
func (d *Door) Devices() []Device {
	d.lock()
	defer d.mu.Unlock()
	return slices.Clone(d.state.Devices)
}

// Remove puts a device out; its next request is refused.
func (d *Door) Remove(id string) error {
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error {
		s.Devices = slices.DeleteFunc(s.Devices, func(x Device) bool { return x.ID == id })
		return nil
	})
}

// Rename names a device.
func (d *Door) Rename(id, name string) error {
	d.lock()
	defer d.mu.Unlock()
	name = plainName(name)
	return d.change(func(s *state) error {
		i := slices.IndexFunc(s.Devices, func(x Device) bool { return x.ID == id })
		if i < 0 || name == "" {
			return fault.New(fault.Bad, "Write a name for a phone that is on the list.")
		}
		s.Devices[i].Name = name
		return nil
	})
}

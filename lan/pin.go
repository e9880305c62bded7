package lan

import (
	"crypto/hmac"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"

	"lastbolt/fault"
)

// pinRounds makes one guess at a PIN cost a good tenth of a second of a
// processor. 600,000 rounds of PBKDF2 with SHA-256 is what the OWASP password
// storage cheat sheet asks for (from memory).
const pinRounds = 600_000

// The lengths of a PIN: digits typed with one thumb. Guessing goes through the
// server, which allows a few tries; whoever has the file can try all of them.
const (
	leastPIN = 6
	mostPIN  = 12
)

// checkPIN says what is wrong with a new PIN.
func checkPIN(pin string) error {
	if len(pin) < leastPIN || len(pin) > mostPIN || strings.Trim(pin, "0123456789") != "" {
		return fault.New(fault.Bad, "A PIN is %d to %d digits, as in 482915.", leastPIN, mostPIN)
	}
	same, up, down := true, true, true
	for i := 1; i < len(pin); i++ {
		step := int(pin[i]) - int(pin[i-1])
		same, up, down = same && step == 0, up && step == 1, down && step == -1
	}
	if same || up || down || repeats(pin) {
		return fault.New(fault.Bad, "This PIN is one of the first anybody would try. Take digits that do not follow one another.")
	}
	return nil
}

// repeats tells whether a PIN is one short piece over and over: 123123, 474747,
// 112112.
func repeats(pin string) bool {
	for n := 1; n <= len(pin)/2; n++ {
		if strings.HasPrefix(strings.Repeat(pin[:n], len(pin)/n+1), pin) {
			return true
		}
	}
	return false
}

// hashPIN is what is kept of a PIN: rounds, salt and hash.
func hashPIN(pin string, rounds int) (string, error) {
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return "", err
	}
	key, err := pbkdf2.Key(sha256.New, pin, salt, rounds, 32)
	if err != nil {
		return "", err
	}
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("pbkdf2-sha256$%d$%s$%s", rounds, b64.EncodeToString(salt), b64.EncodeToString(key)), nil
}

// isPIN tells whether the hash was made of the PIN. What is no hash of ours is
// of no PIN.
func isPIN(hash, pin string) bool {
	part := strings.Split(hash, "$")
	if len(part) != 4 || part[0] != "pbkdf2-sha256" || len(pin) > mostPIN {
		return false
	}
	rounds, err := strconv.Atoi(part[1])
	if err != nil || rounds < 1 || rounds > 10*pinRounds {
		return false
	}
	salt, err := base64.RawStdEncoding.DecodeString(part[2])
	if err != nil {
		return false
	}
	want, err := base64.RawStdEncoding.DecodeString(part[3])
	if err != nil || len(want) != 32 {
		return false
	}
	got, err := pbkdf2.Key(sha256.New, pin, salt, rounds, len(want))
	return err == nil && hmac.Equal(got, want)
}

package replicate

import (
	"crypto/sha256"
	"encoding/hex"
)

// A proof stands for a stretch of the server's log: the ids behind the position
// From, in their order. A log that holds another event there, or lacks one, has
// another sum.
type proof struct {
	From int64  `json:"from"`
	N    int    `json:"n"`
	Sum  string `json:"sum,omitempty"`
}

// proven is how many events a proof covers at least, once the log has so many.
// That another log has the same ones there in the same order, and others
// before, is not to be expected.
const proven = 64

func (p proof) with(id string) proof {
	h := sha256.Sum256([]byte(p.Sum + "\n" + id))
	return proof{p.From, p.N + 1, hex.EncodeToString(h[:12])}
}

// follow carries a proof on over ids that came behind the position, and begins
// a new one in time, so that none grows with the log.
func follow(now, coming proof, position int64, ids []string) (proof, proof) {
	if coming.N == 0 {
		coming.From = position
	}
	for _, id := range ids {
		now, coming = now.with(id), coming.with(id)
	}
	if coming.N >= proven {
		now, coming = coming, proof{}
	}
	return now, coming
}

package web

import (
	"container/list"
	"sync"
)

// mostPictures is the bytes of reduced photos kept at hand: the thumbnails of
// some hundred photos and a few of screen size.
const mostPictures = 24 << 20

// Pictures keep photos as they are shown, the latest used of them. A photo is
// named by its hash, so what is kept never goes stale. The zero value is ready
// to use, by many goroutines.
type pictures struct {
	mu    sync.Mutex
	order list.List // of *picture, latest used first
	at    map[string]*list.Element
	bytes int
}

type picture struct {
	key   string
	once  sync.Once // a photo asked for twice at once is reduced once
	body  []byte
	err   error
	sized bool // its bytes are counted
}

// get gives the picture of a key, made unless it is at hand. A failure is not
// kept.
func (p *pictures) get(key string, make func() ([]byte, error)) ([]byte, error) {
	pic := p.find(key)
	pic.once.Do(func() { pic.body, pic.err = make() })
	p.mu.Lock()
	defer p.mu.Unlock()
	e := p.at[key]
	if e == nil || e.Value != any(pic) {
		return pic.body, pic.err
	}
	if pic.err != nil {
		p.drop(e)
		return nil, pic.err
	}
	if !pic.sized {
		pic.sized = true
		p.bytes += len(pic.body)
	}
	for p.bytes > mostPictures && p.order.Back() != e {
		p.drop(p.order.Back())
	}
	return pic.body, nil
}

func (p *pictures) find(key string) *picture {
	p.mu.Lock()
	defer p.mu.Unlock()
	if e := p.at[key]; e != nil {
		p.order.MoveToFront(e)
		return e.Value.(*picture)
	}
	if p.at == nil {
		p.at = map[string]*list.Element{}
	}
	pic := &picture{key: key}
	p.at[key] = p.order.PushFront(pic)
	return pic
}

func (p *pictures) drop(e *list.Element) {
	pic := p.order.Remove(e).(*picture)
	delete(p.at, pic.key)
	if pic.sized {
		p.bytes -= len(pic.body)
	}
}

package lan

import (
	"bufio"
	"io"
	"net"
	"testing"
)

// What stands between the network and package net/http must not hide that one
// side of a connection can be ended alone.
func TestOneSideOfAConnectionIsEndedThroughEverythingAroundIt(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	phone, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer phone.Close()
	c, err := l.Accept()
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	var around net.Conn = &peeked{&slotted{Conn: c, free: func() {}}, bufio.NewReader(c)}
	half, ok := around.(interface{ CloseWrite() error })
	if !ok {
		t.Fatal("it cannot be ended on one side")
	}
	if _, err := around.Write([]byte("answer")); err != nil {
		t.Fatal(err)
	}
	if err := half.CloseWrite(); err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(phone); string(got) != "answer" || err != nil {
		t.Errorf("the phone read %q, %v", got, err)
	}
	if _, err := phone.Write([]byte("more")); err != nil {
		t.Fatal(err)
	}
	b := make([]byte, 4)
	if _, err := io.ReadFull(around, b); string(b) != "more" || err != nil {
		t.Errorf("the computer read %q, %v, from a phone that was still sending", b, err)
	}
}

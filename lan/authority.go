package lan

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"lastbolt/fault"
)

// How long certificates are good. Phones refuse a leaf of more than 398 or,
// for an authority that was added by hand, 825 days (from memory); 397 is under
// both.
const (
	rootDays  = 3650
	leafDays  = 397
	renewDays = 60 // a leaf with less to run is renewed
)

// authorityName is the file of the authority's key and certificate.
const authorityName = "authority"

// permittedNames are the endings the authority may sign for: those that a home
// network uses and the public net does not (RFC 6762 "local", RFC 8375
// "home.arpa"; "lan" and "internal" are common practice). Whoever got hold of
// its key could therefore not pose as a bank or a mail server to the phones
// that trust it.
var permittedNames = []string{"local", "home.arpa", "lan", "internal", "localhost"}

// permittedRanges are the addresses the authority may sign for: private
// (RFC 1918, RFC 4193), link-local (RFC 3927, RFC 4291) and this machine.
var permittedRanges = ranges("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
	"fc00::/7", "fe80::/10", "::1/128")

func ranges(list ...string) []*net.IPNet {
	var out []*net.IPNet
	for _, s := range list {
		_, n, err := net.ParseCIDR(s)
		if err != nil {
			panic("lan: " + err.Error())
		}
		out = append(out, n)
	}
	return out
}

// Private tells whether an address lies in the ranges the authority may sign
// for.
func Private(ip net.IP) bool {
	return slices.ContainsFunc(permittedRanges, func(n *net.IPNet) bool { return n.Contains(ip) })
}

// An Authority signs the certificate that phones are shown. Its methods are
// safe for many goroutines.
type Authority struct {
	dir string
	now func() time.Time

	root    *x509.Certificate
	rootKey *ecdsa.PrivateKey

	mu   sync.Mutex
	leaf *tls.Certificate
}

// openAuthority reads the authority kept in dir, or makes one. A root that has
// run out is Bad: phones must come to trust a new one, which is for a person to
// decide.
func openAuthority(dir string, now func() time.Time) (*Authority, error) {
	a := &Authority{dir: dir, now: now}
	key, cert, err := readPair(dir, authorityName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := a.makeRoot(); err != nil {
			return nil, err
		}
		return a, nil
	case err != nil:
		return nil, err
	}
	if now().After(cert.NotAfter) {
		return nil, fault.New(fault.Bad, "The certificate in %s ran out on %s. Move that folder away and start again: every phone must then be paired anew.", dir, cert.NotAfter.Format("2 Jan 2006"))
	}
	a.root, a.rootKey = cert, key
	return a, nil
}

func (a *Authority) makeRoot() error {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	serial, err := serialNumber()
	if err != nil {
		return err
	}
	at := a.now()
	host, _ := os.Hostname()
	sum := sha256.Sum256(serial.Bytes())
	template := &x509.Certificate{
		SerialNumber:          serial,
		Subject:               pkix.Name{CommonName: "Lastbolt on " + oneName(host) + " " + hex.EncodeToString(sum[:3]), Organization: []string{"Lastbolt"}},
		NotBefore:             at.Add(-24 * time.Hour), // a phone's clock may be behind
		NotAfter:              at.Add(rootDays * 24 * time.Hour),
		IsCA:                  true,
		BasicConstraintsValid: true,
		MaxPathLenZero:        true,
		KeyUsage:              x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},

		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         permittedNames,
		PermittedIPRanges:           permittedRanges,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		return err
	}
	if a.root, err = x509.ParseCertificate(der); err != nil {
		return err
	}
	a.rootKey = key
	return writePair(a.dir, authorityName, key, der)
}

// oneName is a host's name as far as it may stand in a certificate's title.
func oneName(host string) string {
	host, _, _ = strings.Cut(strings.ToLower(host), ".")
	clean := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return -1
	}, host)
	if clean == "" || len(clean) > 40 {
		return "this machine"
	}
	return clean
}

func serialNumber() (*big.Int, error) {
	return rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
}

// Root is the authority's own certificate in DER, the one that phones install.
func (a *Authority) Root() []byte { return a.root.Raw }

// Fingerprint is the SHA-256 of the certificate in pairs of hex digits, as
// phones show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.root.Raw)
	var b strings.Builder
	for i, v := range sum {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(strings.ToUpper(hex.EncodeToString([]byte{v})))
	}
	return b.String()
}

// Name is the certificate's name, as a phone lists it.
func (a *Authority) Name() string { return a.root.Subject.CommonName }

// names are what the leaf is good for: the machine's names and every private
// address it has now.
func names() (dns []string, ips []net.IP) {
	if host, err := os.Hostname(); err == nil && oneName(host) != "this machine" {
		for _, end := range []string{".local", ".lan", ".home.arpa"} {
			dns = append(dns, oneName(host)+end)
		}
	}
	dns = append(dns, "localhost")
	return dns, append(Addresses(), net.IPv4(127, 0, 0, 1), net.IPv6loopback)
}

// Addresses are the private addresses this machine can be reached by in its
// networks: first the one it uses itself to go out, which is most likely the
// network that the phones are in; then IPv4 before IPv6.
func Addresses() []net.IP {
	own, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var four, six []net.IP
	for _, a := range own {
		n, ok := a.(*net.IPNet)
		switch {
		case !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() || !Private(n.IP):
		case n.IP.To4() != nil:
			four = append(four, n.IP)
		default:
			six = append(six, n.IP)
		}
	}
	return usualFirst(append(four, six...), outward())
}

// outward is the address this machine goes out by, nil where it goes nowhere.
// Asking sends nothing: UDP greets nobody, and 192.0.2.1 is an address for
// documentation (RFC 5737).
func outward() net.IP {
	c, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return nil
	}
	defer func() { _ = c.Close() }() // nothing was sent
	if at, ok := c.LocalAddr().(*net.UDPAddr); ok {
		return at.IP
	}
	return nil
}

// usualFirst puts one of the addresses first, if it is among them.
func usualFirst(all []net.IP, usual net.IP) []net.IP {
	slices.SortStableFunc(all, func(a, b net.IP) int {
		switch {
		case a.Equal(b):
			return 0
		case a.Equal(usual):
			return -1
		case b.Equal(usual):
			return 1
		}
		return 0
	})
	return all
}

// TLS is the configuration of a server that shows the authority's leaf. The
// leaf follows the machine into another network and is renewed in time, while
// the server runs.
func (a *Authority) TLS() *tls.Config {
	return &tls.Config{
		MinVersion:     tls.VersionTLS12,
		NextProtos:     []string{"h2", "http/1.1"},
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return a.current() },
	}
}

// current is a leaf that is good now, for the addresses of now.
func (a *Authority) current() (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	dns, ips := names()
	if a.leaf == nil {
		a.leaf = a.keptLeaf()
	}
	if a.leaf != nil && a.goodFor(a.leaf.Leaf, dns, ips) {
		return a.leaf, nil
	}
	fresh, err := a.sign(dns, ips)
	if err != nil {
		return nil, err
	}
	a.leaf = fresh
	return fresh, nil
}

func (a *Authority) goodFor(c *x509.Certificate, dns []string, ips []net.IP) bool {
	now := a.now()
	if now.Before(c.NotBefore) || now.Add(renewDays*24*time.Hour).After(c.NotAfter) {
		return false
	}
	for _, name := range dns {
		if !slices.Contains(c.DNSNames, name) {
			return false
		}
	}
	for _, ip := range ips {
		if !slices.ContainsFunc(c.IPAddresses, ip.Equal) {
			return false
		}
	}
	return c.CheckSignatureFrom(a.root) == nil
}

// keptLeaf is the leaf of the last start, so that a phone that accepted it by
// hand is not asked again; nil for none.
func (a *Authority) keptLeaf() *tls.Certificate {
	key, cert, err := readPair(a.dir, "leaf")
	if err != nil {
		return nil
	}
	return &tls.Certificate{Certificate: [][]byte{cert.Raw, a.root.Raw}, PrivateKey: key, Leaf: cert}
}

func (a *Authority) sign(dns []string, ips []net.IP) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := serialNumber()
	if err != nil {
		return nil, err
	}
	start := a.now().Add(-time.Hour)
	end := start.Add(leafDays * 24 * time.Hour)
	if end.After(a.root.NotAfter) {
		end = a.root.NotAfter
	}
	der, err := x509.CreateCertificate(rand.Reader, &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: dns[0]},
		NotBefore: start, NotAfter: end,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, DNSNames: dns, IPAddresses: ips,
	}, a.root, key.Public(), a.rootKey)
	if err != nil {
		return nil, err
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	if err := writePair(a.dir, "leaf", key, der); err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{der, a.root.Raw}, PrivateKey: key, Leaf: cert}, nil
}

// A pair is kept as one file, key before certificate, so that one is never
// there without the other.
func writePair(dir, name string, key *ecdsa.PrivateKey, der []byte) error {
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	text := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})
	text = append(text, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})...)
	return writeSecret(filepath.Join(dir, name+".pem"), text)
}

func readPair(dir, name string) (*ecdsa.PrivateKey, *x509.Certificate, error) {
	path := filepath.Join(dir, name+".pem")
	text, err := readSecret(path)
	if err != nil {
		return nil, nil, err
	}
	broken := func(err error) (*ecdsa.PrivateKey, *x509.Certificate, error) {
		return nil, nil, fault.Wrap(err, fault.Damaged, "The key file %s cannot be read as one. Bring it back from a copy, or move the folder %s away and pair every phone anew.", path, dir)
	}
	first, rest := pem.Decode(text)
	second, _ := pem.Decode(rest)
	if first == nil || second == nil {
		return broken(errors.New("not two PEM blocks"))
	}
	secret, err := x509.ParsePKCS8PrivateKey(first.Bytes)
	if err != nil {
		return broken(err)
	}
	key, ok := secret.(*ecdsa.PrivateKey)
	if !ok {
		return broken(errors.New("not an ECDSA key"))
	}
	cert, err := x509.ParseCertificate(second.Bytes)
	if err != nil {
		return broken(err)
	}
	if !key.PublicKey.Equal(cert.PublicKey) {
		return broken(errors.New("key and certificate do not belong together"))
	}
	return key, cert, nil
}

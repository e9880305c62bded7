package s3

import (
	"net"
	"net/url"
	"os"
	"regexp"
	"strings"

	"lastbolt/fault"
)

// An Address is a place in an S3-compatible store, without keys.
type Address struct {
	Bucket   string
	Prefix   string // empty, or ends in a slash
	Endpoint string // host, with a port where one is given
	Secure   bool   // over https
	Region   string // empty lets the store say
	Path     bool   // the bucket goes in the path of a request, not before the host
}

// IsAddress reports whether a text is meant to be an address of this package.
func IsAddress(text string) bool { return strings.HasPrefix(strings.ToLower(text), "s3://") }

// bucketName is what a bucket may be called: 3 to 63 lower-case letters, digits,
// dots and dashes, beginning and ending with a letter or digit (Amazon S3 User
// Guide, "General purpose bucket naming rules").
var bucketName = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$`)

const example = "Write it as in s3://bucket/lastbolt?endpoint=https://store.example:9000"

// Parse reads s3://bucket/prefix?endpoint=https://host:port&region=name. Without
// an endpoint it is Amazon's. The faults are Bad, and repeat nothing that could
// be a key.
func Parse(text string) (Address, error) {
	u, err := url.Parse(text)
	if err != nil || !strings.EqualFold(u.Scheme, "s3") {
		return Address{}, fault.New(fault.Bad, "The address of the file store cannot be read. %s", example)
	}
	if u.User != nil {
		return Address{}, fault.New(fault.Bad, "The address of the file store has a key in it, where others can read it. Take it out, and put the keys into AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY")
	}
	if !bucketName.MatchString(u.Host) {
		return Address{}, fault.New(fault.Bad, "%q cannot be the name of a bucket: 3 to 63 lower-case letters, digits, dots and dashes. %s", u.Host, example)
	}
	a := Address{Bucket: u.Host, Endpoint: "s3.amazonaws.com", Secure: true, Region: firstOf(os.Getenv("AWS_REGION"), os.Getenv("AWS_DEFAULT_REGION"))}
	if p := strings.Trim(u.Path, "/"); p != "" {
		a.Prefix = p + "/"
	}
	for name, values := range u.Query() {
		value := values[0]
		switch name {
		case "endpoint":
			if err := a.reach(value); err != nil {
				return Address{}, err
			}
		case "region":
			a.Region = value
		default:
			return Address{}, fault.New(fault.Bad, "The address of the file store says something about %q, which is not known here: it may have endpoint and region, and the keys stay out of it. %s", name, example)
		}
	}
	return a, nil
}

// reach takes the store's own address. Its buckets are named in the path, which
// every store understands; only Amazon's wants them before the host.
func (a *Address) reach(endpoint string) error {
	u, err := url.Parse(endpoint)
	if err != nil || u.Host == "" || u.User != nil || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Scheme != "http" && u.Scheme != "https" {
		return fault.New(fault.Bad, "The endpoint of the file store must be a plain address with http or https, without a path. %s", example)
	}
	if u.Scheme == "http" && !near(u.Hostname()) {
		return fault.New(fault.Bad, "Photos would go to %s in the open. Give its address with https; plain http is only for this machine and the network around it", u.Host)
	}
	a.Endpoint, a.Secure = u.Host, u.Scheme == "https"
	a.Path = !strings.HasSuffix(u.Hostname(), ".amazonaws.com")
	return nil
}

// near reports a host of this machine or of a private network, by its number or
// by a name that no outside network has.
func near(host string) bool {
	ip := net.ParseIP(host)
	if ip == nil {
		return host == "localhost" || strings.HasSuffix(host, ".local") || !strings.Contains(host, ".")
	}
	return ip.IsLoopback() || ip.IsPrivate() || ip.IsLinkLocalUnicast()
}

// String names the place for a person.
func (a Address) String() string { return "the bucket " + a.Bucket + " at " + a.Endpoint }

func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

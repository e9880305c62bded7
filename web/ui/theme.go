package ui

import (
	"net/http"
	"net/url"
	"strings"
)

const themeCookie = "theme"

// Theme returns the reader's chosen colours: "light", "dark", "sun", or "" for
// the device's own setting. Anything else in the cookie counts as "".
func Theme(r *http.Request) string {
	c, err := r.Cookie(themeCookie)
	if err != nil || !isTheme(c.Value) {
		return ""
	}
	return c.Value
}

// SetTheme answers the theme form (field "theme": auto, light, dark or sun):
// it keeps the choice for a year and sends the reader back to the page. Mount
// it at POST /theme.
func SetTheme(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 4096)
	choice := r.PostFormValue("theme")
	cookie := &http.Cookie{Name: themeCookie, Value: choice, Path: "/", MaxAge: 31536000, SameSite: http.SameSiteLaxMode, Secure: r.TLS != nil}
	if !isTheme(choice) {
		cookie.Value, cookie.MaxAge = "", -1
	}
	http.SetCookie(w, cookie)
	http.Redirect(w, r, pageBefore(r), http.StatusSeeOther)
}

func isTheme(s string) bool { return s == "light" || s == "dark" || s == "sun" }

// pageBefore is the path the reader came from, on this host only.
func pageBefore(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	// "//name" would be read as another host
	if err != nil || u.Host != r.Host || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") {
		return "/"
	}
	return (&url.URL{Path: u.Path, RawQuery: u.RawQuery}).String()
}

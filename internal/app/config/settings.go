package config

import (
	"fmt"
	"net/url"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/goccy/go-yaml/ast"

	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/triage"
)

// defaults is what holds where the file says nothing; dir is the folder of the file.
func defaults(dir string) *Config {
	return &Config{
		Custom: triage.AnyCustom, Language: "en", Data: filepath.Join(dir, "data"), Admission: ByLink,
		Bedtime: 23 * 60, Quiet: Quiet{From: 22*60 + 30, To: 7 * 60},
		Rates: Rates{PerSecond: 25, ChatPerSecond: 1, GroupPerMinute: 18},
	}
}

// earliestBedtime, in minutes after midnight: before five it is still the night of the day before, into which no heating runs.
const earliestBedtime = 5 * 60

var (
	languageShape = regexp.MustCompile(`^[a-z]{2,3}(-[a-z0-9]{2,8})*$`)
	phoneShape    = regexp.MustCompile(`^\+?[0-9][0-9 ()/.-]{1,38}[0-9]$`)
)

// settings are those of the whole file, in the order of the example.
func settings() []setting {
	return []setting{
		{"name", true, func(r *reader, v value) { r.cfg.Name, _ = r.text(v, 100) }},
		{"place", true, func(r *reader, v value) { r.place(v, &r.cfg.Place) }},
		{"places", false, (*reader).places},
		{"custom", false, func(r *reader, v value) {
			r.cfg.Custom, _ = r.choice(v, triage.Ashkenazi, triage.Sephardi, triage.AnyCustom)
		}},
		{"language", false, (*reader).language},
		{"token-file", false, func(r *reader, v value) { r.cfg.TokenFile, _ = r.file(v) }},
		{"api", false, (*reader).api},
		{"data", false, func(r *reader, v value) { r.cfg.Data, _ = r.file(v) }},
		{"dialogs", false, func(r *reader, v value) { r.cfg.Dialogs, _ = r.file(v) }},
		{"admission", false, func(r *reader, v value) { r.cfg.Admission, _ = r.choice(v, ByLink, Anybody) }},
		{"approving-rabbi", false, func(r *reader, v value) { r.cfg.ApprovingRabbi, _ = r.id(v.key, v.node, false) }},
		{"rabbis", false, (*reader).rabbis},
		{"office", false, func(r *reader, v value) { r.cfg.Office = r.ids(v) }},
		{"inbox", false, func(r *reader, v value) { r.cfg.Inbox, _ = r.id(v.key, v.node, true) }},
		{"bedtime", false, (*reader).bedtime},
		{"quiet", false, (*reader).quiet},
		{"phone", false, (*reader).phone},
		{"rates", false, (*reader).rates},
	}
}

func (r *reader) language(v value) {
	s, ok := r.text(v, 20)
	if ok && !languageShape.MatchString(s) {
		r.add(placeOf(v.node), fmt.Sprintf("language is %q", s), "write the code of a language of the dialogs, such as en or he")
		return
	}
	r.cfg.Language = s
}

// api takes a base address.
func (r *reader) api(v value) {
	s, ok := r.text(v, 300)
	if !ok {
		return
	}
	address, what, do := endpoint(s)
	if what != "" {
		r.add(placeOf(v.node), "api "+what, do)
		return
	}
	r.cfg.API = address
}

// Endpoint checks a base address of the Bot API that comes from elsewhere than the file. The error does not repeat it: it may
// hold the token.
func Endpoint(s string) (string, error) {
	address, what, do := endpoint(s)
	if what != "" {
		return "", fmt.Errorf("the address %s: %s", what, do)
	}
	return address, nil
}

// endpoint checks a base address. What would hold the token, or break the paths that are put behind it, is refused.
func endpoint(s string) (address, what, do string) {
	do = "write http://HOST:PORT or https://HOST, or remove it for the public one"
	u, err := url.Parse(s)
	switch {
	case err != nil:
		return "", "is not an address", do
	case u.Scheme != "http" && u.Scheme != "https":
		return "", "is not an http or https address", do
	case u.Hostname() == "":
		return "", "names no host", do
	case u.User != nil:
		return "", "holds a user or a password", do
	case u.RawQuery != "" || u.ForceQuery || u.Fragment != "" || strings.HasSuffix(s, "#"):
		return "", "goes on after the address, with ? or #", do
	case strings.Contains(u.Path, ":"):
		return "", "seems to hold the token", "write the address alone; the token stands in token-file"
	}
	return strings.TrimRight(s, "/"), "", ""
}

func (r *reader) rabbis(v value) {
	r.cfg.Rabbis, r.rabbisAt = r.ids(v), v.at
}

// together looks at what only two settings show.
func (r *reader) together() {
	for i, p := range r.cfg.Places {
		same := func(other luach.Place) bool { return p.Name != "" && strings.EqualFold(other.Name, p.Name) }
		if same(r.cfg.Place) || slices.ContainsFunc(r.cfg.Places[:i], same) {
			r.add(r.placesAt[i], fmt.Sprintf("there is another place called %q", p.Name), "give each place a name of its own")
		}
	}
	if r.cfg.ApprovingRabbi != 0 && slices.Contains(r.cfg.Rabbis, r.cfg.ApprovingRabbi) {
		r.add(r.rabbisAt, fmt.Sprintf("rabbis holds %d, the approving rabbi", r.cfg.ApprovingRabbi), "remove him there: he answers questions in any case")
	}
}

func (r *reader) bedtime(v value) {
	at, ok := r.timeOfDay(v)
	if ok && at < earliestBedtime {
		r.add(placeOf(v.node), "bedtime is after midnight", `write "05:00" to "23:59": after midnight no heating is begun in any case`)
		return
	}
	r.cfg.Bedtime = at
}

func (r *reader) quiet(v value) {
	from, to := -1, -1
	r.block(v, []setting{
		{"from", true, func(r *reader, v value) {
			if at, ok := r.timeOfDay(v); ok {
				from = at
			}
		}},
		{"to", true, func(r *reader, v value) {
			if at, ok := r.timeOfDay(v); ok {
				to = at
			}
		}},
	})
	if from >= 0 && from == to {
		r.add(v.at, "quiet begins and ends at the same time", "leave some of the day to speak in")
	}
	r.cfg.Quiet = Quiet{From: from, To: to}
}

func (r *reader) phone(v value) {
	s, ok := r.text(v, 40)
	if ok && !phoneShape.MatchString(s) {
		r.add(placeOf(v.node), "phone is not a telephone number", `write digits, spaces, hyphens and a leading +, in quotes`)
		return
	}
	r.cfg.Phone = s
}

func (r *reader) rates(v value) {
	rates := &r.cfg.Rates
	r.block(v, []setting{
		{"per-second", false, func(r *reader, v value) {
			rates.PerSecond, _ = r.positive(v, MaxPerSecond, "messages a second")
		}},
		{"chat-per-second", false, func(r *reader, v value) {
			rates.ChatPerSecond, _ = r.positive(v, MaxChatPerSecond, "messages a second")
		}},
		{"group-per-minute", false, func(r *reader, v value) {
			rates.GroupPerMinute, _ = r.positive(v, MaxGroupPerMinute, "messages a minute")
		}},
	})
}

// maxPlaces bounds the list of places, of which a member chooses one on his phone.
const maxPlaces = 40

// places takes the other places in which a household may be.
func (r *reader) places(v value) {
	list, ok := v.node.(*ast.SequenceNode)
	if !ok {
		r.add(placeOf(v.node), "places is not a list", "write each place below it after a hyphen, with the settings of place")
		return
	}
	if len(list.Values) > maxPlaces {
		r.add(v.at, fmt.Sprintf("places holds %d", len(list.Values)), fmt.Sprintf("keep %d: they are chosen on a phone", maxPlaces))
	}
	for _, n := range list.Values {
		one := value{key: "place", at: placeOf(n), node: n}
		if !r.filled(one) {
			continue
		}
		var p luach.Place
		r.place(one, &p)
		r.cfg.Places, r.placesAt = append(r.cfg.Places, p), append(r.placesAt, one.at)
	}
}

// place takes where the community, or a household, is. Its bounds are those of luach, which is asked once more at the end.
func (r *reader) place(v value, p *luach.Place) {
	before := len(r.list)
	var degrees, minutes bool
	r.block(v, []setting{
		{"name", true, func(r *reader, v value) { p.Name, _ = r.text(v, 60) }},
		{"latitude", true, func(r *reader, v value) { p.Latitude, _ = r.number(v, -90, 90, "degrees (north positive)") }},
		{"longitude", true, func(r *reader, v value) { p.Longitude, _ = r.number(v, -180, 180, "degrees (east positive)") }},
		{"elevation", false, func(r *reader, v value) { p.Elevation, _ = r.number(v, 0, 6000, "metres") }},
		{"zone", true, func(r *reader, v value) { p.Zone = r.zone(v) }},
		{"israel", false, func(r *reader, v value) { p.Israel = r.yes(v) }},
		{"candle-minutes", false, func(r *reader, v value) { p.CandleMinutes, _ = r.whole(v, 1, 120, "minutes before sunset") }},
		{"nightfall-degrees", false, func(r *reader, v value) {
			degrees = true
			p.NightfallDegrees, _ = r.number(v, 3, 20, "degrees below the horizon")
		}},
		{"nightfall-minutes", false, func(r *reader, v value) {
			minutes = true
			p.NightfallMinutes, _ = r.whole(v, 1, 180, "minutes after sunset")
		}},
		{"polar-nightfall-minutes", false, func(r *reader, v value) {
			p.PolarNightfallMinutes, _ = r.whole(v, 1, 180, "minutes after sunset")
		}},
		{"hours", false, func(r *reader, v value) {
			if s, _ := r.choice(v, "72-minutes", "sunrise"); s == "sunrise" {
				p.Hours = luach.ReckoningSunriseToSunset
			}
		}},
	})
	if degrees && minutes {
		r.add(v.at, "place has both nightfall-degrees and nightfall-minutes", "keep the one by which the community goes")
	}
	if len(r.list) > before {
		return
	}
	if err := p.Valid(); err != nil {
		r.add(v.at, "place: "+err.Error(), "correct it")
	}
}

// zone takes a name of the time zone database. The machine's own zone is refused: a community does not move with its server.
func (r *reader) zone(v value) *time.Location {
	s, ok := r.text(v, 60)
	if !ok {
		return nil
	}
	loc, err := time.LoadLocation(s)
	if err != nil || s == "Local" {
		r.add(placeOf(v.node), fmt.Sprintf("there is no time zone %q", s), "write a name of the IANA time zone database, such as Europe/London")
		return nil
	}
	return loc
}

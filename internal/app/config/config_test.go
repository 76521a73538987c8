package config_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	_ "time/tzdata" // the same zones on every machine

	"github.com/stretchr/testify/require"

	"benyomo/internal/app/config"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
)

var update = flag.Bool("update", false, "write the messages of testdata/broken anew")

// good holds nothing but what is required.
const good = `name: Kehillas Emek Rimon
place: {name: Emek Rimon, latitude: 40, longitude: -74, zone: America/New_York}
`

// Each file of testdata/broken breaks one rule; beside it stands the whole message.
func TestBroken(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			raw, err := os.ReadFile(file)
			require.NoError(t, err)
			_, err = config.Parse("community.yaml", raw)
			require.Error(t, err)
			require.IsType(t, dialog.Mistakes{}, err)
			want := strings.TrimSuffix(file, ".yaml") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(want, []byte(err.Error()+"\n"), 0o644))
			}
			text, e := os.ReadFile(want)
			require.NoError(t, e)
			require.Equal(t, string(text), err.Error()+"\n")
		})
	}
}

func TestDefaults(t *testing.T) {
	c, err := config.Parse("/etc/community/config.yaml", []byte(good))
	require.NoError(t, err)
	require.Equal(t, "America/New_York", c.Place.Zone.String())
	c.Place.Zone = nil
	require.Equal(t, &config.Config{
		Name: "Kehillas Emek Rimon", Place: luach.Place{Name: "Emek Rimon", Latitude: 40, Longitude: -74},
		Custom: "any", Language: "en", Data: "/etc/community/data", Admission: config.ByLink,
		Bedtime: 23 * 60, Quiet: config.Quiet{From: 22*60 + 30, To: 7 * 60},
		Rates: config.Rates{PerSecond: 25, ChatPerSecond: 1, GroupPerMinute: 18},
	}, c)
}

func TestEverySetting(t *testing.T) {
	c, err := config.Parse("conf/config.yaml", []byte(`
name: קהילת עמק רימון
place:
  name: Emek Rimon
  latitude: -31.5
  longitude: 35
  elevation: 750
  zone: Asia/Jerusalem
  israel: true
  candle-minutes: 40
  nightfall-minutes: 36
  polar-nightfall-minutes: 72
  hours: sunrise
places:
  - {name: Har Tomer, latitude: 10, longitude: 20.5, zone: Europe/London, candle-minutes: 22, nightfall-degrees: 7}
  - {name: Gan Alon, latitude: 0, longitude: 0, zone: UTC, israel: true}
custom: sephardi
language: he
token-file: /run/token
api: http://127.0.0.1:8081/
data: ../data
dialogs: own
admission: anybody
approving-rabbi: 4503599627370495
rabbis: [2, 3]
office: []
inbox: -1001000000001
bedtime: 21:05
quiet: {from: "21:00", to: "08:30"}
phone: "+1 555 0100"
rates: {per-second: 0.5, chat-per-second: 1, group-per-minute: 20}
`))
	require.NoError(t, err)
	require.Equal(t, "Asia/Jerusalem", c.Place.Zone.String())
	c.Place.Zone = nil
	require.Equal(t, "Europe/London", c.Places[0].Zone.String())
	c.Places[0].Zone, c.Places[1].Zone = nil, nil
	require.Equal(t, &config.Config{
		Name: "קהילת עמק רימון",
		Place: luach.Place{Name: "Emek Rimon", Latitude: -31.5, Longitude: 35, Elevation: 750, Israel: true, CandleMinutes: 40,
			NightfallMinutes: 36, PolarNightfallMinutes: 72, Hours: luach.ReckoningSunriseToSunset},
		Places: []luach.Place{{Name: "Har Tomer", Latitude: 10, Longitude: 20.5, CandleMinutes: 22, NightfallDegrees: 7}, {Name: "Gan Alon", Israel: true}},
		Custom: "sephardi", Language: "he", TokenFile: "/run/token", API: "http://127.0.0.1:8081", Data: "data", Dialogs: "conf/own",
		Admission: config.Anybody, ApprovingRabbi: 4503599627370495, Rabbis: []int64{2, 3}, Inbox: -1001000000001,
		Bedtime: 21*60 + 5, Quiet: config.Quiet{From: 21 * 60, To: 8*60 + 30}, Phone: "+1 555 0100",
		Rates: config.Rates{PerSecond: 0.5, ChatPerSecond: 1, GroupPerMinute: 20},
	}, c)
}

// The bounds of this package must not be wider than those of luach, or it would be luach that refuses them, without a place.
func TestBoundsOfThePlaceAreThoseOfLuach(t *testing.T) {
	for _, settings := range []string{
		"elevation: 6000, candle-minutes: 120, nightfall-degrees: 20, polar-nightfall-minutes: 180",
		"elevation: 0, candle-minutes: 1, nightfall-degrees: 3, polar-nightfall-minutes: 1",
		"nightfall-minutes: 180, hours: 72-minutes", "nightfall-minutes: 1",
	} {
		_, err := config.Parse("c.yaml", []byte(strings.Replace(good, "zone:", settings+", zone:", 1)))
		require.NoError(t, err, settings)
	}
}

func TestExampleIsValidWithAndWithoutItsComments(t *testing.T) {
	c, err := config.Parse("example.yaml", config.Example)
	require.NoError(t, err)
	require.Equal(t, "Kehillas Emek Rimon", c.Name)
	require.Contains(t, string(config.Example), "INVENTED")
	require.Len(t, c.Places, 1)

	// Each setting that stands in a comment is valid too, taken alone.
	lines := strings.Split(string(config.Example), "\n")
	tried := 0
	for i, l := range lines {
		rest, comment := strings.CutPrefix(strings.TrimLeft(l, " "), "# ")
		key, _, setting := strings.Cut(rest, ":")
		if !comment || !setting || strings.Contains(key, " ") {
			continue
		}
		indent := l[:len(l)-len(strings.TrimLeft(l, " "))]
		changed := append(append(append([]string{}, lines[:i]...), indent+rest), lines[i+1:]...)
		_, err := config.Parse("example.yaml", []byte(strings.Join(changed, "\n")))
		require.NoError(t, err, l)
		tried++
	}
	require.Equal(t, 13, tried, "settings in comments")
}

func TestNoTokenInMistakes(t *testing.T) {
	const token = "1234567890:AAabcdefghijklmnopqrstuvwxyz012345"
	for _, raw := range []string{
		"token: " + token, "token-file: [" + token + "]", "api: https://127.0.0.1/bot" + token, "name: [" + token + "]\nx: " + token,
		token + ": x", "language: " + token, "custom: " + token, "place: {zone: '" + token + "'}", "a: [" + token, "? " + token + "\n",
		"name: \"" + token, token,
	} {
		_, err := config.Parse("c.yaml", []byte(raw))
		require.Error(t, err)
		require.NotContains(t, err.Error(), "AAabcdef", raw)
	}
}

func TestFilesThatAreNoConfiguration(t *testing.T) {
	for raw, what := range map[string]string{
		strings.Repeat("#", config.MaxBytes+1): "c.yaml:1:1: the file is larger than 1 MiB: see that it is the configuration",
		"name: \xff\xfe":                       "c.yaml:1:1: the file is not UTF-8 text: save it as UTF-8",
		"":                                     "c.yaml:1:1: the file is empty: `benyomo init` writes an example",
	} {
		_, err := config.Parse("c.yaml", []byte(raw))
		require.EqualError(t, err, what)
	}
	_, err := config.Parse("c.yaml", []byte("\ufeff"+strings.ReplaceAll(good, "\n", "\r\n")))
	require.NoError(t, err, "the mark and the line ends of other systems are no mistakes")
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "c.yaml")
	_, err := config.Load(path)
	require.ErrorIs(t, err, os.ErrNotExist)

	require.NoError(t, os.WriteFile(path, []byte(good+"token-file: token\n"), 0o600))
	c, err := config.Load(path)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(dir, "token"), c.TokenFile)

	require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("#", 2*config.MaxBytes)), 0o600))
	_, err = config.Load(path)
	require.ErrorContains(t, err, "larger than 1 MiB")
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(good))
	f.Add(config.Example)
	files, err := filepath.Glob("testdata/broken/*.yaml")
	require.NoError(f, err)
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := config.Parse("c.yaml", raw)
		if err != nil {
			var ms dialog.Mistakes
			require.ErrorAs(t, err, &ms)
			require.NotEmpty(t, ms)
			for _, m := range ms {
				require.Positive(t, m.Line)
				require.Positive(t, m.Col)
				require.NotEmpty(t, m.What)
				require.NotEmpty(t, m.Do)
			}
			return
		}
		require.NoError(t, c.Place.Valid())
		for _, p := range c.Places {
			require.NoError(t, p.Valid())
			require.NotEqual(t, c.Place.Name, p.Name)
		}
		require.NotEmpty(t, c.Name)
		require.GreaterOrEqual(t, c.ApprovingRabbi, int64(0))
		require.NotContains(t, c.Rabbis, c.ApprovingRabbi)
		require.NotEqual(t, c.Quiet.From, c.Quiet.To)
		require.Positive(t, c.Rates.PerSecond)
	})
}

func TestEndpoint(t *testing.T) {
	s, err := config.Endpoint("http://127.0.0.1:8081/")
	require.NoError(t, err)
	require.Equal(t, "http://127.0.0.1:8081", s)
	_, err = config.Endpoint("https://127.0.0.1/bot1234567:abcdefghijklmnopqrstuvwxyz")
	require.EqualError(t, err, "the address seems to hold the token: write the address alone; the token stands in token-file")
}

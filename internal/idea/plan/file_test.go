package plan

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
)

const goodFile = `place: {name: Emek Rimon, latitude: 40.7, longitude: -74, zone: America/New_York, israel: false, candle-minutes: 20, elevation: 30}
now: "2027-04-11 20:00"
finish: "2027-04-20 18:00"
slack-hours: 12
food: "2027-04-15 10:00"
wake: "06:00"
bedtime: "24:00"
hands: 2
burners: 3
pots: 2
work:
  - {days: [sun, fri], from: "14:00", to: "21:00", most: 300}
  - {date: 2027-04-20, from: "07:30", to: "10:00"}
opening:
  - {days: [mon], from: "09:00", to: "21:00"}
meals: ["2027-04-18 12:30"]
last-meal: "2027-04-10 12:30"
items:
  - {row: oven, last-hot: "2027-04-10 09:00", keep: true}
  - {row: pot, id: meat-pots, name: Meat pots, side: meat, count: 3, minutes: {scrub: 40}}
  - {row: kettle, sabbath: true}
done:
  - {item: oven, step: scrub, begins: "2027-04-11 15:00", ends: "2027-04-11 17:00"}
`

func parseFile(t *testing.T, text string) (File, error) {
	t.Helper()
	return Parse("kitchen.yaml", []byte(text), builtIn(t), time.LoadLocation)
}

// A file says all that a kitchen is.
func TestParse(t *testing.T) {
	f, err := parseFile(t, "\ufeff"+goodFile)
	require.NoError(t, err)
	k, p := f.Kitchen, f.Kitchen.Place
	utc := func(text string) time.Time { return at(t, p, text).UTC() }
	require.Equal(t, utc("2027-04-11 20:00"), f.Now)
	require.Equal(t, "America/New_York", p.Zone.String())
	require.Equal(t, 20, p.CandleMinutes)
	require.Equal(t, 30.0, p.Elevation)
	want := Kitchen{
		Place: p, Finish: utc("2027-04-20 18:00"), Slack: 12 * time.Hour, Food: utc("2027-04-15 10:00"), Wake: 360, Bedtime: 1440, Hands: 2, Burners: 3, Pots: 2,
		Work: []Window{
			{Days: []time.Weekday{time.Sunday, time.Friday}, From: 840, To: 1260, Most: 300},
			{Year: 2027, Month: time.April, Day: 20, From: 450, To: 600},
		},
		Opening: []Window{{Days: []time.Weekday{time.Monday}, From: 540, To: 1260}},
		Meals:   []time.Time{utc("2027-04-18 12:30")}, LastMeal: utc("2027-04-10 12:30"),
		Items: []Item{
			{ID: "oven", Kind: "oven", Count: 1, LastHot: utc("2027-04-10 09:00"), Keep: true},
			{ID: "meat-pots", Kind: "pot", Name: "Meat pots", Side: Meat, Count: 3, Minutes: map[string]int{"scrub": 40}},
			{ID: "kettle", Kind: "kettle", Count: 1, Sabbath: true},
		},
		Done: []Done{{Item: "oven", Step: "scrub", Begins: utc("2027-04-11 15:00"), Ends: utc("2027-04-11 17:00")}},
	}
	require.Equal(t, want, k)
}

// The example that the documentation shows is read and fits.
func TestExample(t *testing.T) {
	raw, err := os.ReadFile("../../../docs/examples/plan.yaml")
	require.NoError(t, err)
	f, err := parseFile(t, string(raw))
	require.NoError(t, err)
	p, err := Make(f.Kitchen, builtIn(t), f.Now)
	require.NoError(t, err)
	require.True(t, p.Fits && p.Proven)
	check(t, f.Kitchen, p, f.Now, "the example")
}

// What is wrong with a file is said with its place and with what to do.
func TestBrokenFiles(t *testing.T) {
	for _, tt := range []struct{ old, new, want string }{
		{"latitude: 40.7", "latitude: 140.7", `kitchen.yaml:1:37: latitude is "140.7": write degrees from -90 to 90`},
		{"longitude: -74", "longitude: west", `longitude is "west": write degrees from -180 to 180`},
		{"zone: America/New_York", "zone: America/Nowhere", `there is no time zone "America/Nowhere"`},
		{"zone: America/New_York", "zone: Local", `there is no time zone "Local"`},
		{"israel: false", "israel: perhaps", `israel is "perhaps": write true or false`},
		{"candle-minutes: 20", "candle-minutes: 200", "candle-minutes is 200: write a number from 0 to 120"},
		{"elevation: 30", "elevation: 9000", "elevation is 9000"},
		{`now: "2027-04-11 20:00"`, `now: "2027-03-14 02:30"`, `now is "2027-03-14 02:30": write a local time that exists`},
		{`now: "2027-04-11 20:00"`, `now: today`, `kitchen.yaml:2:6: now is "today"`},
		{"slack-hours: 12", "slack-hours: 1000", "slack-hours is 1000"},
		{`wake: "06:00"`, `wake: "6:00"`, `wake is "6:00": write a time of day`},
		{`bedtime: "24:00"`, `bedtime: "05:00"`, "bedtime is not after wake"},
		{"hands: 2", "hands: 0", "hands is 0: write a number from 1 to 60"},
		{"days: [sun, fri]", "days: [sun, sunday]", `there is no day "sunday": write sun, mon, tue, wed, thu, fri, sat`},
		{"date: 2027-04-20", "date: 20.4.2027", `date is "20.4.2027": write it as 2027-04-18`},
		{"date: 2027-04-20", "days: [sun], date: 2027-04-20", "a window has either days or a date"},
		{`from: "07:30", to: "10:00"`, `from: "07:30", to: "07:00"`, "a window of work from minute 450 to minute 420 of the day is none"},
		{"most: 300", "most: 1000", "at most 1000 minutes of work do not fit in a window of 420"},
		{"row: oven,", "row: rocket,", `there is no row "rocket": take one of self-clean-oven, oven,`},
		{"id: meat-pots", "id: oven", `two items are called "oven"`},
		{"side: meat", "side: left", `side is "left": write dairy, pareve, meat`},
		{"count: 3", "count: 300", "count is 300"},
		{"{scrub: 40}", "{polish: 40}", `pot has no step "polish": take one of scrub, boil`},
		{"item: oven, step", "item: stove, step", `there is no item "stove"`},
		{"step: scrub", "step: cook", `oven has no step "cook"`},
		{`, begins: "2027-04-11 15:00"`, "", "what was done has no beginning"},
		{`ends: "2027-04-11 17:00"`, `ends: "2027-04-11 14:00"`, "it ends before it begins"},
		{"hands: 2", "hand: 2", "see docs/examples/plan.yaml for what may stand here"},
		{"hands: 2", "hands:", "nothing stands here"},
		{"hands: 2", "hands: [2]", "expected a word, found a list"},
		{"hands: 2", "hands: &h 2", "the value is not written out"},
		{"hands: 2", "hands: 2\nhands: 3", "hands"},
	} {
		t.Run(tt.new, func(t *testing.T) {
			require.Contains(t, goodFile, tt.old)
			_, err := parseFile(t, strings.Replace(goodFile, tt.old, tt.new, 1))
			var ms dialog.Mistakes
			require.ErrorAs(t, err, &ms)
			require.ErrorContains(t, err, tt.want)
			for _, m := range ms {
				require.NotEmpty(t, m.Do)
				require.Positive(t, m.Line)
			}
		})
	}
	for text, want := range map[string]string{
		"": "the file is empty", "a: b: c": "kitchen.yaml:1", "\xff": "not UTF-8", goodFile + "---\na: b\n": "a second document begins here",
		strings.Repeat("#", MaxFile+1): "1048577 bytes", strings.Split(goodFile, "items:")[0] + "items: []\n": "there are 0 items",
		strings.Split(goodFile, "work:")[0] + "items: [{row: oven}]\n": "the file does not say when somebody can work",
	} {
		_, err := parseFile(t, text)
		require.ErrorContains(t, err, want)
	}
}

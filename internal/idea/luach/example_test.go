package luach_test

import (
	"fmt"
	"time"

	"benyomo/internal/idea/luach"
)

// The morning of the eve of Pesach, shown to the minute.
func ExampleDeadlines() {
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		panic(err)
	}
	p := luach.Place{Latitude: 40.7128, Longitude: -74.006, Zone: zone}
	y, m, d := luach.EveOfPesach(5787).Civil()
	for _, hour := range []luach.HourEnd{luach.Deadlines(p, y, m, d).EndFourth, luach.Deadlines(p, y, m, d).EndFifth} {
		fmt.Println(luach.ShownDeadline(hour.Minutes72.At).Format("15:04"),
			luach.ShownDeadline(hour.SunriseToSunset.At).Format("15:04"))
	}
	// Output:
	// 10:15 10:39
	// 11:35 11:47
}

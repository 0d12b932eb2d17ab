package repair

import (
	"fmt"
	"math"
	"time"
)

// short says a span as people do: two digits and no more.
func short(d time.Duration) string {
	s := d.Seconds()
	switch {
	case s < 10:
		return fmt.Sprintf("%.2g s", s)
	case s < 100:
		return fmt.Sprintf("%.0f s", s)
	case s < 100*60:
		return fmt.Sprintf("%.0f min", s/60)
	case s < 48*3600:
		return fmt.Sprintf("%.0f h", s/3600)
	}
	return fmt.Sprintf("%.0f days", math.Min(s/86400, 99999))
}

package drawing

import (
	"time"
)

// noon is when every picture is taken.
var noon = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

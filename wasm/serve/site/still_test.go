package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is joined draws as it did: every way is still there, in its order and its look.
func TestLinesThatLookAlikeAreOneElement(t *testing.T) {
	svg := `<svg>
<path fill="none" stroke="#111" stroke-width="1" d="M0,0L1,1"/>
<path fill="none" stroke="#111" stroke-width="1" d="M2,2L3,3Z"/>
<path fill="#FFF" stroke="#111" stroke-width="1" d="M4,4L5,5"/>
<path fill="#FFF" stroke="#111" stroke-width="1" d="M6,6L7,7"/>
<path fill="none" stroke="#111" stroke-width="1" d="M8,8L9,9"/>
<path fill="none" stroke="#111" stroke-width="2" d="M8,8L9,9"/>
</svg>
`
	want := strings.Replace(svg, `L1,1"/>
<path fill="none" stroke="#111" stroke-width="1" d="`, "L1,1", 1)
	assert.Equal(t, want, string(joined([]byte(svg))))
	assert.Equal(t, want, string(joined([]byte(want))))
}

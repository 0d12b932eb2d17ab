package jobcard

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network/rigfile/document"
	"quietpump/network/rigfile/document/wanted"
)

const cards = "../../../testdata/cards/"

// Every broken card says on the bad line itself what is to be complained of; a
// complaint nobody wanted fails too.
func TestBadCards(t *testing.T) {
	files, err := filepath.Glob(cards + "bad/*.card.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 50)
	for _, path := range files {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".card.toml"), func(t *testing.T) {
			card, err := Read(path)
			assert.Nil(t, card, "nothing is half loaded")
			wanted.Check(t, path, err)
		})
	}
}

// What is wrong in the rig file is told with its own places, behind the card's.
func TestProblemsOfTheRigFile(t *testing.T) {
	_, err := Parse("folder/x.card.toml", []byte("rig = \"../bad/unknown-key.rig.toml\"\nx = 1\n"), Beside("../../../testdata/cards/x"))
	var ps Problems
	require.ErrorAs(t, err, &ps)
	require.Len(t, ps, 2)
	assert.Equal(t, "folder/x.card.toml:2:1: unknown section \"x\"", ps[0].Error())
	assert.Equal(t, `bad/unknown-key.rig.toml:11:1: tube "cold line": unknown key "lenght" (did you mean "length"?)`, ps[1].Error())
}

func TestLimits(t *testing.T) {
	_, err := Parse("big", []byte("# "+strings.Repeat("x", document.MaxSize)), nil)
	assert.ErrorContains(t, err, "big:1:1: the file holds more than 1048576 bytes")
	for _, text := range []string{"rig = " + strings.Repeat("[", 200_000), `{"rig": ` + strings.Repeat("[", 200_000), "rig." + strings.Repeat("a.", 100) + "b = 1"} {
		_, err = Parse("deep", []byte(text), nil)
		assert.Error(t, err)
	}
	_, err = Parse("closed", []byte("rig = \"coach.rig.toml\""), nil)
	assert.ErrorContains(t, err, "cannot be opened from here")
	_, err = Read("no such file.card.toml")
	assert.ErrorIs(t, err, os.ErrNotExist)
}

package jobcard

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// copied copies a card and its rig into a folder of their own.
func copied(t *testing.T, card string) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "rigs"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "cards"), 0o755))
	for from, to := range map[string]string{
		cards + card + ".card.toml":                    "cards/" + card + ".card.toml",
		"../../../testdata/rigs/" + card + ".rig.toml": "rigs/" + card + ".rig.toml",
	} {
		data, err := os.ReadFile(from)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, to), data, 0o600))
	}
	return filepath.Join(dir, "cards", card+".card.toml")
}

var appended = diagnose.Reading{
	Lineup: network.Lineup{"hookup": network.On(), "pump": network.Off()},
	Rest:   []diagnose.Time{{Value: 3 * time.Minute}},
	Look:   []diagnose.Look{{At: "toilet valve", For: diagnose.Drip, Saw: diagnose.Yes}},
}

func TestAppendTouchesNothingElse(t *testing.T) {
	path := copied(t, "twopath")
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	card, err := Read(path)
	require.NoError(t, err)

	require.NoError(t, Append(path, appended))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	rest, ok := strings.CutPrefix(string(after), string(before))
	require.True(t, ok, "comments, order and layout stay")
	assert.Equal(t, `
[[reading]]
lineup = "hookup=on, pump=off"
rest = "180 s"
look = { at = "toilet valve", for = "drip", saw = "yes" }
`, rest)
	again, err := Read(path)
	require.NoError(t, err)
	assert.Equal(t, append(card.Readings, appended), again.Readings)

	require.NoError(t, AppendDone(path, diagnose.Done{Do: diagnose.DoSwap, Part: "toilet valve"}))
	again, err = Read(path)
	require.NoError(t, err)
	assert.Equal(t, []diagnose.Done{{Do: diagnose.DoSwap, Part: "toilet valve", Before: 4}}, again.Done)

	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1, "no temporary file is left")
}

// An append that fails leaves the card as it was and gives back what it was to add.
func TestAppendLosesNothing(t *testing.T) {
	path := copied(t, "twopath")
	good, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, tt := range []struct {
		name, text, says string
		reading          diagnose.Reading
	}{
		{"a broken card", string(good) + "\n[[reading]]\nrst = 1\n", `unknown key "rst"`, appended},
		{"a part the rig has not", string(good), `no such part`, diagnose.Reading{Lineup: network.Lineup{"gate": network.Shut()}, Blip: true}},
		{"nothing seen", string(good), `says nothing`, diagnose.Reading{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.NoError(t, os.WriteFile(path, []byte(tt.text), 0o600))
			err := Append(path, tt.reading)
			var ae *AppendError
			require.ErrorAs(t, err, &ae)
			assert.Contains(t, err.Error(), tt.says)
			assert.Contains(t, err.Error(), "[[reading]]\n")
			assert.Contains(t, ae.Text, "[[reading]]")
			now, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, tt.text, string(now))
		})
	}
	err = Append(filepath.Join(t.TempDir(), "none.card.toml"), appended)
	assert.ErrorIs(t, err, os.ErrNotExist)
	assert.ErrorContains(t, err, `rest = "180 s"`)
	err = AppendDone(path+".no", diagnose.Done{Do: diagnose.DoCure, Part: "pump"})
	assert.ErrorContains(t, err, `do = "cure"`)
}

// Of several who add at once nobody's reading is lost, and a lock that was left
// behind keeps nobody out.
func TestAppendAtOnce(t *testing.T) {
	waits(t, time.Hour) // however slowly they get on
	path := copied(t, "twopath")
	before, err := Read(path)
	require.NoError(t, err)
	lock := filepath.Join(filepath.Dir(path), ".twopath.card.toml.lock")
	require.NoError(t, os.WriteFile(lock, nil, 0o600))
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(lock, old, old))

	var all errgroup.Group
	const writers = 12
	for i := range writers {
		all.Go(func() error {
			return Append(path, diagnose.Reading{Rest: []diagnose.Time{{Value: time.Duration(i+1) * time.Minute}}})
		})
	}
	require.NoError(t, all.Wait())
	after, err := Read(path)
	require.NoError(t, err)
	require.Len(t, after.Readings, len(before.Readings)+writers)
	sum := time.Duration(0)
	for _, r := range after.Readings[len(before.Readings):] {
		sum += r.Rest[0].Value
	}
	assert.Equal(t, writers*(writers+1)/2*time.Minute, sum)
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".*"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// waits sets how long one writer is waited for in a test.
func waits(t *testing.T, d time.Duration) {
	was := patience
	patience = d
	t.Cleanup(func() { patience = was })
}

// Who is kept out by one writer for too long is told so, and one whose lock was taken
// for left behind writes nothing and takes away nobody else's.
func TestAppendKeepsOut(t *testing.T) {
	waits(t, 0)
	path := copied(t, "twopath")
	lock := filepath.Join(filepath.Dir(path), ".twopath.card.toml.lock")
	require.NoError(t, os.WriteFile(lock, []byte("another's"), 0o600))
	assert.ErrorIs(t, Append(path, appended), ErrBusy)
	require.NoError(t, os.Remove(lock))

	require.NoError(t, alone(path, func(still func() bool) error {
		assert.True(t, still())
		require.NoError(t, os.WriteFile(lock, []byte("another's"), 0o600))
		assert.False(t, still())
		return nil
	}))
	assert.FileExists(t, lock)
}

// Of many who find a lock that was left behind one at a time clears it away.
func TestLeftBehindAtOnce(t *testing.T) {
	waits(t, time.Hour)
	path := filepath.Join(t.TempDir(), "card.toml")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	lock := filepath.Join(filepath.Dir(path), ".card.toml.lock")
	old := time.Now().Add(-time.Hour)
	for range 20 {
		require.NoError(t, os.WriteFile(lock, nil, 0o600))
		require.NoError(t, os.Chtimes(lock, old, old))
		var all errgroup.Group
		var inside, most atomic.Int32
		for range 8 {
			all.Go(func() error {
				return alone(path, func(func() bool) error {
					if n := inside.Add(1); n > most.Load() {
						most.Store(n)
					}
					runtime.Gosched()
					inside.Add(-1)
					return nil
				})
			})
		}
		require.NoError(t, all.Wait())
		require.EqualValues(t, 1, most.Load(), "alone")
	}
}

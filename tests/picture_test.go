package tests

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aPicture is a small PNG file.
func aPicture(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 20, 10))))
	return b.Bytes()
}

// TestAPictureGoesWithTheJob: it is shown where pictures can be, told in words elsewhere, and
// carried by the job, so that a report shows it when the file has gone.
func TestAPictureGoesWithTheJob(t *testing.T) {
	folder, env := home(t)
	path := func(name string) string { return filepath.Join(folder, name) }
	shown := "data:image/png;base64," + base64.StdEncoding.EncodeToString(aPicture(t))
	const words = "The earth lead on the gearbox, under the tray"
	require.NoError(t, os.Mkdir(path("own"), 0o755))
	require.NoError(t, os.WriteFile(path("own/own.yaml"), []byte(`tree: own
title: Own
edition: 1
begin: look
readings: {loose: {ask: "Is it loose?", short: loose, yes_no: true}}
findings: {bad: {title: Bad, action: a}, good: {title: Good, action: b}}
steps:
  look:
    kind: inspect
    title: Look
    take: [loose]
    picture: {file: earth.png, text: "`+words+` <b>"}
    branches: [{if: loose, to: bad}, {otherwise: good}]
`), 0o644))
	r := runIn(t, folder, env, "", "walk", "--tree", "own/own.yaml", "--plain", "--kit", "none", "--job", "van.job")
	require.Equal(t, 1, r.code)
	require.Contains(t, r.stderr, `own.yaml:12:21: there is no file "earth.png" in the folder of this file`)
	require.NoError(t, os.WriteFile(path("own/earth.png"), aPicture(t), 0o644))
	r = runIn(t, folder, env, "yes\n", "walk", "--tree", "own/own.yaml", "--plain", "--kit", "none", "--job", "van.job")
	require.Zero(t, r.code, r.stderr)
	require.Contains(t, r.stdout+r.stderr, "Picture: "+words)
	for _, form := range []string{"html", "sheet"} {
		page := runIn(t, folder, env, "", "draw", "own/own.yaml", "--as", form).stdout
		assert.Contains(t, page, shown)
		assert.Contains(t, page, "img-src data:")
		assert.NotContains(t, page, "<b>")
	}
	assert.Contains(t, runIn(t, folder, env, "", "draw", "own/own.yaml").stdout, "picture:")
	assert.NotContains(t, runIn(t, folder, env, "", "draw", "own/own.yaml").stdout, "base64")
	r = runIn(t, folder, env, "", "prove", "own")
	require.Zero(t, r.code, "a folder brings its pictures along: %s", r.stdout+r.stderr)

	require.NoError(t, os.Remove(path("own/earth.png")))
	assert.Contains(t, runIn(t, folder, env, "", "report", "van.job", "--as", "html").stdout, shown)
	for _, form := range []string{"text", "markdown", "json"} {
		r := runIn(t, folder, env, "", "report", "van.job", "--as", form)
		require.Zero(t, r.code, r.stderr)
		assert.Contains(t, strings.Join(strings.Fields(r.stdout), " "), words)
		assert.NotContains(t, r.stdout, "base64")
	}
	job, err := os.ReadFile(path("van.job"))
	require.NoError(t, err)
	other := base64.StdEncoding.EncodeToString(append(aPicture(t), 0))
	require.NoError(t, os.WriteFile(path("bad.job"), bytes.Replace(job, []byte(strings.TrimPrefix(shown, "data:image/png;base64,")), []byte(other), 1), 0o600))
	assert.NotZero(t, runIn(t, folder, env, "", "report", "bad.job").code, "a picture that was changed is found")
}

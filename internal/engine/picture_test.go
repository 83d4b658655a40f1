package engine

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// drawn is a small picture; noise makes it as large a file as its pixels allow.
func drawn(t *testing.T, width, height int, noise bool) (asPNG, asJPEG []byte) {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	r := rand.New(rand.NewPCG(1, 2))
	for x := range width {
		for y := range height {
			c := color.RGBA{uint8(x), uint8(y), 128, 255}
			if noise {
				c = color.RGBA{uint8(r.Uint32()), uint8(r.Uint32()), uint8(r.Uint32()), 255}
			}
			img.Set(x, y, c)
		}
	}
	var p, j bytes.Buffer
	require.NoError(t, png.Encode(&p, img))
	require.NoError(t, jpeg.Encode(&j, img, nil))
	return p.Bytes(), j.Bytes()
}

// header is a PNG file that says it has many pixels and holds none.
func header(width, height uint32) []byte {
	ihdr := append([]byte("IHDR"), make([]byte, 13)...)
	binary.BigEndian.PutUint32(ihdr[4:], width)
	binary.BigEndian.PutUint32(ihdr[8:], height)
	ihdr[12], ihdr[13] = 8, 2
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), ihdr...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(ihdr))
}

const pictured = `tree: pictured
title: A picture
edition: 1
begin: look
readings: {loose: {ask: "Is it loose?", short: loose, yes_no: true}}
findings: {bad: {title: Bad, action: a}, good: {title: Good, action: b}}
steps:
  look:
    kind: inspect
    title: Look
    take: [loose]
    picture: {file: clamp.png, text: The clamp.}
    branches: [{if: loose, to: bad}, {otherwise: good}]
`

func TestAPictureBesideAStep(t *testing.T) {
	asPNG, asJPEG := drawn(t, 40, 30, false)
	hashes := map[string]bool{}
	for _, c := range []struct {
		name, kind string
		data       []byte
	}{{"clamp.png", "image/png", asPNG}, {"clamp.jpg", "image/jpeg", asJPEG}, {"clamp.JPEG", "image/jpeg", asJPEG}, {"clamp.png", "image/jpeg", asJPEG}} {
		text := strings.Replace(pictured, "clamp.png", c.name, 1)
		lib, faults := Load([]Source{{"own/tree.yaml", []byte(text)}, {"own/" + c.name, c.data}, {"other/clamp.png", []byte("of another folder")}})
		require.True(t, faults.Empty(), "%v", faults.Sorted())
		p := lib.Tree("pictured").Begin.Picture
		require.Equal(t, &Picture{File: c.name, Text: "The clamp.", Type: c.kind, Data: c.data, Width: 40, Height: 30}, p)
		hashes[lib.Tree("pictured").Hash] = true
	}
	require.Len(t, hashes, 4, "another picture is another tree")
}

// TestAPictureThatCannotBeTaken: whatever is wrong with it, the place of its name is told, and
// no file is decoded that says it has more pixels than it may.
func TestAPictureThatCannotBeTaken(t *testing.T) {
	good, _ := drawn(t, 40, 30, false)
	large, _ := drawn(t, 500, 400, true)
	require.Greater(t, len(large), maxPicture)
	for _, c := range []struct {
		file, rule, message string
		data                []byte
	}{
		{"clamp.png", "bad-picture", "has more than 500 kB", large},
		{"clamp.png", "bad-picture", "more than 4 million pixels", header(100_000, 100_000)},
		{"clamp.png", "bad-picture", "is neither a PNG nor a JPEG picture", header(1<<31-1, 1<<31-1)},
		{"clamp.png", "bad-picture", "is neither a PNG nor a JPEG picture", []byte("<svg xmlns='http://www.w3.org/2000/svg'/>")},
		{"clamp.png", "bad-picture", "is neither a PNG nor a JPEG picture", nil},
		{"clamp.png", "bad-picture", "is a picture that is damaged or cut off", good[:len(good)-20]},
		{"clamp.png", "bad-picture", "is a picture that is damaged or cut off", header(40, 30)},
		{"other.png", "bad-picture", `there is no file "other.png" in the folder of this file`, good},
		{"../own/clamp.png", "bad-picture", "is no name of a PNG or JPEG file in the folder of this file", good},
		{`..\clamp.png`, "bad-picture", "is no name of a PNG or JPEG file", good},
		{"/etc/clamp.png", "bad-picture", "is no name of a PNG or JPEG file", good},
		{"clamp.svg", "bad-picture", "is no name of a PNG or JPEG file", good},
		{"tree.yaml", "bad-picture", "is no name of a PNG or JPEG file", good},
		{`""`, "empty-text", "", good},
	} {
		text := strings.Replace(pictured, "clamp.png", c.file, 1)
		lib, faults := Load([]Source{{"own/tree.yaml", []byte(text)}, {"own/clamp.png", c.data}})
		require.Empty(t, lib.Trees(), c.file)
		f := faults.Sorted()[0]
		require.Equal(t, c.rule, f.Rule, "%v", faults.Sorted())
		require.Contains(t, f.Message, c.message)
		require.Equal(t, 12, f.Place.Line)
		require.Equal(t, 21, f.Place.Col)
	}
	_, faults := Load([]Source{{"own/tree.yaml", []byte(pictured)}, {"own/clamp.png", good}, {"more/all.png", make([]byte, maxPictures)}})
	require.Contains(t, faults.Sorted()[0].Message, "more than 10 MB together")
	_, faults = Load([]Source{{"own/tree.yaml", []byte(strings.Replace(pictured, ", text: The clamp.", "", 1))}, {"own/clamp.png", good}})
	require.Equal(t, "missing-key", faults.Sorted()[0].Rule)
}

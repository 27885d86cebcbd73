package report

import (
	"encoding/binary"
	"fmt"
	"slices"

	"golang.org/x/image/font/sfnt"
)

// subset returns a TrueType font with the outlines of the runes given only.
// Glyph numbers stay as they are, so that the tables of widths and characters
// hold; the outlines of all other glyphs are empty.
//
// Source: OpenType specification 1.9, tables glyf, loca, head, post.
func subset(font []byte, runes []rune) ([]byte, error) {
	tables, err := fontTables(font)
	if err != nil {
		return nil, err
	}
	parsed, err := sfnt.Parse(font)
	if err != nil {
		return nil, err
	}
	var buffer sfnt.Buffer
	keep := map[int]bool{0: true} // the sign for a missing glyph
	for _, r := range runes {
		if g, err := parsed.GlyphIndex(&buffer, r); err == nil {
			keep[int(g)] = true
		}
	}
	if err := trimOutlines(tables, keep); err != nil {
		return nil, err
	}
	// Version 3: no glyph names.
	post := slices.Clone(tables["post"][:32])
	binary.BigEndian.PutUint32(post, 0x00030000)
	tables["post"] = post
	return assemble(tables), nil
}

// wanted are the tables of a subset, in the order of their tags.
var wanted = []string{"OS/2", "cmap", "cvt ", "fpgm", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "name", "post", "prep"}

// fontTables splits a font into its tables.
func fontTables(font []byte) (map[string][]byte, error) {
	if len(font) < 12 {
		return nil, fmt.Errorf("report: font of %d bytes has no table directory", len(font))
	}
	tables := map[string][]byte{}
	n := int(binary.BigEndian.Uint16(font[4:]))
	for i := range n {
		at := 12 + 16*i
		if at+16 > len(font) {
			return nil, fmt.Errorf("report: font directory ends early")
		}
		from, size := int(binary.BigEndian.Uint32(font[at+8:])), int(binary.BigEndian.Uint32(font[at+12:]))
		if from < 0 || size < 0 || from+size > len(font) {
			return nil, fmt.Errorf("report: font table %q lies outside the font", font[at:at+4])
		}
		tables[string(font[at:at+4])] = font[from : from+size]
	}
	for _, need := range []struct {
		tag  string
		size int
	}{{"glyf", 0}, {"loca", 4}, {"head", 54}, {"post", 32}, {"maxp", 6}, {"cmap", 4}} {
		if len(tables[need.tag]) < need.size || tables[need.tag] == nil {
			return nil, fmt.Errorf("report: font has no whole table %q", need.tag)
		}
	}
	return tables, nil
}

// trimOutlines empties the outlines of glyphs that are not kept, following
// glyphs that are made of others.
func trimOutlines(tables map[string][]byte, keep map[int]bool) error {
	loca, glyf := tables["loca"], tables["glyf"]
	long := binary.BigEndian.Uint16(tables["head"][50:]) == 1
	offset := func(i int) int {
		if long {
			return int(binary.BigEndian.Uint32(loca[4*i:]))
		}
		return 2 * int(binary.BigEndian.Uint16(loca[2*i:]))
	}
	n := int(binary.BigEndian.Uint16(tables["maxp"][4:]))
	if width := map[bool]int{true: 4, false: 2}[long]; len(loca) < width*(n+1) {
		return fmt.Errorf("report: font table \"loca\" is too short for %d glyphs", n)
	}
	glyph := func(i int) []byte {
		from, to := offset(i), offset(i+1)
		if from > to || to > len(glyf) {
			return nil
		}
		return glyf[from:to]
	}
	var pending []int
	for g := range keep {
		pending = append(pending, g)
	}
	for len(pending) > 0 {
		g := pending[len(pending)-1]
		pending = pending[:len(pending)-1]
		if g >= n {
			continue
		}
		for _, part := range components(glyph(g)) {
			if !keep[part] {
				keep[part] = true
				pending = append(pending, part)
			}
		}
	}
	var outlines []byte
	at := make([]byte, 0, 4*(n+1))
	for i := range n {
		at = binary.BigEndian.AppendUint32(at, uint32(len(outlines)))
		if keep[i] {
			outlines = append(outlines, glyph(i)...)
			for len(outlines)%4 != 0 {
				outlines = append(outlines, 0)
			}
		}
	}
	at = binary.BigEndian.AppendUint32(at, uint32(len(outlines)))
	head := slices.Clone(tables["head"])
	binary.BigEndian.PutUint16(head[50:], 1)
	tables["glyf"], tables["loca"], tables["head"] = outlines, at, head
	return nil
}

// components lists the glyphs that a composite glyph is made of.
func components(glyph []byte) []int {
	if len(glyph) < 10 || int16(binary.BigEndian.Uint16(glyph)) >= 0 {
		return nil
	}
	const (
		wordArguments = 1 << 0
		oneScale      = 1 << 3
		more          = 1 << 5
		twoScales     = 1 << 6
		fourScales    = 1 << 7
	)
	var list []int
	for at := 10; at+4 <= len(glyph); {
		flags := binary.BigEndian.Uint16(glyph[at:])
		list = append(list, int(binary.BigEndian.Uint16(glyph[at+2:])))
		at += 6
		if flags&wordArguments != 0 {
			at += 2
		}
		switch {
		case flags&oneScale != 0:
			at += 2
		case flags&twoScales != 0:
			at += 4
		case flags&fourScales != 0:
			at += 8
		}
		if flags&more == 0 {
			break
		}
	}
	return list
}

// assemble writes a font file.
func assemble(tables map[string][]byte) []byte {
	var tags []string
	for _, tag := range wanted {
		if tables[tag] != nil {
			tags = append(tags, tag)
		}
	}
	n := len(tags)
	log := 0
	for 2<<log <= n {
		log++
	}
	be := binary.BigEndian
	out := be.AppendUint32(nil, 0x00010000)
	for _, v := range []int{n, 16 << log, log, 16*n - 16<<log} {
		out = be.AppendUint16(out, uint16(v))
	}
	at := 12 + 16*n
	headAt := 0
	for _, tag := range tags {
		data := tables[tag]
		if tag == "head" {
			data = slices.Clone(data)
			be.PutUint32(data[8:], 0) // the check sum of the whole, filled in last
			tables[tag] = data
			headAt = at
		}
		out = append(out, tag...)
		out = be.AppendUint32(out, checkSum(data))
		out = be.AppendUint32(out, uint32(at))
		out = be.AppendUint32(out, uint32(len(data)))
		at += (len(data) + 3) &^ 3
	}
	for _, tag := range tags {
		out = append(out, tables[tag]...)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	be.PutUint32(out[headAt+8:], 0xB1B0AFBA-checkSum(out))
	return out
}

// checkSum adds up the big-endian words of a table, padded with zeros.
func checkSum(data []byte) uint32 {
	sum := uint32(0)
	for len(data) > 0 {
		var word [4]byte
		n := copy(word[:], data)
		sum += binary.BigEndian.Uint32(word[:])
		data = data[n:]
	}
	return sum
}

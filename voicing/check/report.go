package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/melody"
	"undersong/voicing/playing"
)

// Category is a kind of finding.
type Category string

// The categories, in the order in which they are told.
const (
	Compass       Category = "compass"        // the tower has no key or pedal for a note
	Unplayable    Category = "unplayable"     // no hand or foot can play it
	TooFast       Category = "too-fast"       // a bell is repeated, or a hand leaps, too fast
	TooDense      Category = "too-dense"      // thick chords, busy pedals
	Blur          Category = "blur"           // what still rings is rough against what is struck
	Balance       Category = "balance"        // the melody does not stand clear
	LowThirds     Category = "low-thirds"     // a major third on low bells
	RingingThirds Category = "ringing-thirds" // one with a bell that the feet struck before
)

// Categories lists all.
func Categories() []Category {
	return []Category{Compass, Unplayable, TooFast, TooDense, Blur, Balance, LowThirds, RingingThirds}
}

// Finding is something that the tower or its player cannot do, or that will
// sound poor, and what to do about it.
type Finding struct {
	Category Category `json:"category"`
	// What tells the findings of a category apart: a reason, such as "too wide".
	What string `json:"what"`
	score.Place
	Value float64 `json:"value"`
	Limit float64 `json:"limit"`
	Unit  string  `json:"unit,omitempty"` // of Value and Limit: "notes", "mm", "s", "dB", …
	Text  string  `json:"text"`

	measure int
	onset   score.Time
}

// Index is that of the finding's measure, counted from 0.
func (f *Finding) Index() int { return f.measure }

// Measure is the figures of one measure, for a picture of the whole.
type Measure struct {
	Number string `json:"number"`
	// Strokes is how many strokes there are, Density how many in a second,
	// Together the most at once.
	Strokes  int     `json:"strokes"`
	Density  float64 `json:"density"`
	Together int     `json:"together"`
	// Blur is how strongly what still rings beats against what is struck, in the
	// middle of the measure's strokes: 1 is as strongly as it sounds itself.
	Blur float64 `json:"blur"`
	// Margin is how many dB the melody is louder than what is struck with it;
	// absent where it is not known, or alone.
	Margin *float64 `json:"margin,omitempty"`
	// Melody and Rest are how loud the melody, and what is struck besides, are in
	// the middle of their moments, in dB, where the lowest bell at mf has 0;
	// absent where there is none.
	Melody *float64 `json:"melody,omitempty"`
	Rest   *float64 `json:"rest,omitempty"`
}

// Report is what was found. Its fields are stable.
type Report struct {
	Version   int        `json:"version"` // of this form: 1
	File      string     `json:"file,omitempty"`
	Title     string     `json:"title,omitempty"`
	Tower     string     `json:"tower"`
	Notices   []string   `json:"notices,omitempty"` // what is likely wrong in the file, as score.Score has them
	Keyboards []Keyboard `json:"keyboards"`
	Tempo     Tempo      `json:"tempo"`
	// Melody says where the melody is, and Unsure the measures in which that is
	// not sure enough to judge the balance.
	Melody     string           `json:"melody,omitempty"`
	Unsure     []string         `json:"unsure,omitempty"`
	Strokes    int              `json:"strokes"`
	Difficulty Difficulty       `json:"difficulty"`
	Totals     map[Category]int `json:"totals"` // of every category
	Findings   []Finding        `json:"findings"`
	Measures   []Measure        `json:"measures"`
}

// Tempo is how fast the score begins.
type Tempo struct {
	PerMinute float64 `json:"perMinute"` // quarter notes
	From      string  `json:"from"`      // "the score", a word of it in quotes, or "assumed"
}

// Options say for whom a score is checked.
type Options struct {
	Tower  *instrument.Tower // default: the profile instrument.Default
	Melody []melody.Overrule // where the melody is, against what would be found
	// Tune tells which notes are the melody, where that is known; nil finds it.
	Tune func(*score.Tone) bool
}

// checker is the work on one score.
type checker struct {
	score  *score.Score
	tower  *instrument.Tower
	player *playing.Player
	starts []score.Time
	beats  [][]score.Time
	clock  *score.Clock
	tones  []score.Tone
	levels levels
	even   map[int]float64 // by key, how loud a stroke at mf is: found once
	report *Report
}

// loudness is that of a stroke of a bell, in dB as [instrument.Tower.Level] has it.
func (c *checker) loudness(b bell) float64 {
	even, ok := c.even[b.key]
	if !ok {
		even = c.tower.Level(b.key, 0)
		c.even[b.key] = even
	}
	return even + c.tower.Dynamics*float64(b.level)
}

// Score checks a carillon score. It fails where nothing is to be struck, or the
// tempo is no tempo.
func Score(s *score.Score, o Options) (*Report, error) {
	c, all, err := newChecker(s, o)
	if err != nil {
		return nil, err
	}
	c.report.Tempo.PerMinute, c.report.Tempo.From = c.clock.Tempo()
	c.report.Measures = make([]Measure, s.MeasureCount())
	for i := range c.report.Measures {
		c.report.Measures[i].Number = c.score.MeasureNumber(i)
	}
	c.findMelody(c.tones, all, o)
	c.compass(all)
	c.playable(all)
	moments := c.moments(all)
	c.dense(moments)
	c.blur(moments)
	c.balance(moments)
	c.thirds(moments)
	c.ringingThirds(moments)
	c.total()
	return c.report, nil
}

// newChecker is one with the strokes of s.
func newChecker(s *score.Score, o Options) (*checker, []struck, error) {
	if o.Tower == nil {
		tower, err := instrument.Named(instrument.Default)
		if err != nil {
			return nil, nil, err
		}
		o.Tower = tower
	}
	c := &checker{
		score: s, tower: o.Tower, player: playing.For(o.Tower), starts: s.Starts(), beats: s.Beats(), clock: s.Clock(), tones: s.Tones(), even: map[int]float64{},
		report: &Report{Version: 1, Title: s.Title, Tower: o.Tower.Name, Notices: s.Notices, Keyboards: Keyboards(s), Findings: []Finding{}},
	}
	if end := c.clock.Seconds(c.starts[len(c.starts)-1]); math.IsInf(end, 0) || math.IsNaN(end) {
		return nil, nil, fmt.Errorf("at the tempi that the score gives it never ends: correct them")
	}
	all := c.strikes(c.tones, c.report.Keyboards)
	if len(all) == 0 {
		return nil, nil, fmt.Errorf("there is nothing to strike: the score has no notes")
	}
	return c, all, nil
}

// Playable finds only what keyboards, hands and feet cannot do: [Compass],
// [Unplayable] and [TooFast].
func Playable(s *score.Score, t *instrument.Tower) ([]Finding, error) {
	c, all, err := newChecker(s, Options{Tower: t})
	if err != nil {
		return nil, err
	}
	c.compass(all)
	c.playable(all)
	c.total()
	return c.report.Findings, nil
}

// Strokes are those of a score's player in time order, and the index in
// s.Tones() of what each strikes. It fails as [Score] does.
func Strokes(s *score.Score, t *instrument.Tower) (strokes []playing.Stroke, tones []int, err error) {
	_, all, err := newChecker(s, Options{Tower: t})
	if err != nil {
		return nil, nil, err
	}
	written := stemHands(s)
	for i := range all {
		strokes, tones = append(strokes, written.stroke(&all[i])), append(tones, all[i].index)
	}
	return strokes, tones, nil
}

// total sorts the findings by place and counts them.
func (c *checker) total() {
	order := Categories()
	slices.SortStableFunc(c.report.Findings, func(x, y Finding) int {
		return cmp.Or(x.measure-y.measure, x.onset.Cmp(y.onset), slices.Index(order, x.Category)-slices.Index(order, y.Category))
	})
	c.report.Totals = map[Category]int{}
	for _, category := range order {
		c.report.Totals[category] = 0
	}
	for _, f := range c.report.Findings {
		c.report.Totals[f.Category]++
	}
}

// Impossible tells whether no player can do what f tells of, as against what is
// only hard, such as a quick leap.
func (f *Finding) Impossible() bool {
	return f.Category == Compass || f.Category == Unplayable || f.Category == TooFast && f.What != playing.Leap.String()
}

// find records a finding at a stroke.
func (c *checker) find(s *struck, f Finding) {
	f.measure, f.onset = s.measure, s.tone.Onset
	f.Place = score.Place{
		Part: c.score.Parts[s.tone.Part].ID, Measure: c.score.MeasureNumber(s.measure),
		Beat: score.BeatName(s.tone.Onset.Sub(c.starts[s.measure]), c.beats[s.measure]),
	}
	c.report.Findings = append(c.report.Findings, f)
}

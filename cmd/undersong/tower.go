package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/urfave/cli/v2"

	"undersong/instrument"
	"undersong/score"
)

// towerCommand lists, shows, checks and begins descriptions of towers.
func towerCommand() *cli.Command {
	return &cli.Command{
		Name:      "tower",
		Usage:     "list the towers, or show one: its keyboards, bells and player",
		ArgsUsage: "[NAME|FILE]",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "json", Usage: "print the tower as data for other programs"},
		},
		Action: func(c *cli.Context) error {
			switch {
			case c.NArg() > 1:
				return usage("tower shows one tower, or does check FILE or new; it cannot do %q", strings.Join(c.Args().Slice(), " "))
			case c.NArg() == 0:
				return listTowers(c.App.Writer, c.Bool("json"))
			}
			t, err := loadTower(c, c.Args().First())
			if err != nil {
				return err
			}
			return showTower(c.App.Writer, t, c.Bool("json"))
		},
		Subcommands: []*cli.Command{{
			Name:      "check",
			Usage:     "say everything that is wrong with a file",
			ArgsUsage: "FILE",
			Action: func(c *cli.Context) error {
				if c.NArg() != 1 {
					return usage("tower check needs one file")
				}
				return checkTower(c, c.Args().First())
			},
		}, {
			Name:  "new",
			Usage: "print a file to fill in, with everything a tower can say",
			Action: func(c *cli.Context) error {
				if c.NArg() > 0 {
					return usage("tower new takes no file; send its output to one: undersong tower new > our.yaml")
				}
				_, err := io.WriteString(c.App.Writer, instrument.Template())
				return err
			},
		}},
	}
}

// loadTower is the tower of a profile's name or of a file, "-" for standard
// input.
func loadTower(c *cli.Context, nameOrFile string) (*instrument.Tower, error) {
	return await(c.Context, func() (*instrument.Tower, error) { return loadTowerNow(nameOrFile, c.App.Reader) })
}

func loadTowerNow(nameOrFile string, stdin io.Reader) (*instrument.Tower, error) {
	if slices.Contains(instrument.Names(), nameOrFile) {
		return instrument.Named(nameOrFile)
	}
	if nameOrFile == "-" {
		return instrument.Read(stdin, "standard input")
	}
	f, err := os.Open(nameOrFile)
	if errors.Is(err, fs.ErrNotExist) {
		_, unknown := instrument.Named(nameOrFile)
		return nil, fmt.Errorf("there is no file %s, and %w", nameOrFile, unknown)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", nameOrFile, cause(err))
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder: give the file of a tower", nameOrFile)
	}
	return instrument.Read(f, nameOrFile)
}

func listTowers(w io.Writer, asJSON bool) error {
	var reports []instrument.Report
	table := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(table, "NAME\tBELLS\tMANUAL\tPEDALS\tKEYS APART")
	for _, name := range instrument.Names() {
		t, err := instrument.Named(name)
		if err != nil {
			return err
		}
		reports = append(reports, t.Report())
		fmt.Fprintf(table, "%s\t%d\t%v\t%v\t%g and %g mm\n",
			name, t.Manual.Len(), t.Manual, t.Pedals, t.Player.KeySpacing, t.Player.PedalSpacing)
	}
	if asJSON {
		return printJSON(w, reports)
	}
	return table.Flush()
}

func checkTower(c *cli.Context, file string) error {
	t, err := loadTower(c, file)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.App.Writer, "%s: nothing is wrong; %s has %s\n", file, t.Name, extent(t))
	return err
}

// extent is the bells and the pedals, with every gap.
func extent(t *instrument.Tower) string {
	bells := fmt.Sprintf("%d bells, %v", t.Manual.Len(), t.Manual)
	if t.Pedals.Len() == 0 {
		return bells + ", and no pedals"
	}
	return fmt.Sprintf("%s, and %d pedals, %v", bells, t.Pedals.Len(), t.Pedals)
}

func showTower(w io.Writer, t *instrument.Tower, asJSON bool) error {
	if asJSON {
		return printJSON(w, t.Report())
	}
	low, high := t.Bell(t.Manual.Low()), t.Bell(t.Manual.High())
	fmt.Fprintf(w, "%s: %s.\nKey %s sounds %s, key %s sounds %s.\n\n", t.Name, extent(t),
		score.KeyName(low.Key), score.KeyName(low.Sounds), score.KeyName(high.Key), score.KeyName(high.Sounds))
	fmt.Fprint(w, keyboards(t))
	fmt.Fprintln(w)
	if err := printBells(w, t); err != nil {
		return err
	}
	fmt.Fprint(w, bellsNote)
	return printPlayer(w, t)
}

const bellsNote = `Estimated from pitch and casting, --json for every bell; a bell rings until it is
60 dB weaker; loudness is that of one touch, against the lowest bell.

`

// printBells prints a row for the lowest and the highest bell and for every C,
// E and G between.
func printBells(w io.Writer, t *instrument.Tower) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "key\tsounds\tkg\tcm wide\trings, s\tloudness, dB\t")
	for b := range t.Bells() {
		outer := b.Key == t.Manual.Low() || b.Key == t.Manual.High()
		if !outer && !slices.Contains([]int{0, 4, 7}, b.Key%12) {
			continue
		}
		fmt.Fprintf(table, "%s\t%s\t%s\t%.0f\t%.0f to %.0f\t%.0f\t\n", score.KeyName(b.Key), score.KeyName(b.Sounds),
			weight(b.Mass), 100*b.Diameter, b.Ring.Least, b.Ring.Most, t.Level(b.Key, 0))
	}
	return table.Flush()
}

// weight has as many digits as it deserves.
func weight(kg float64) string {
	if kg < 10 {
		return fmt.Sprintf("%.1f", kg)
	}
	return fmt.Sprintf("%.0f", kg)
}

func printPlayer(w io.Writer, t *instrument.Tower) error {
	p := t.Player
	low, high := t.Manual.Low(), t.Manual.High()
	_, err := fmt.Fprintf(w, `A hand plays %d at a time, %d in slow passages, at most %g mm apart (an octave is %.0f mm);
the hands are at most %g mm from each other; a quick leap is at most %g mm.
A foot plays %d at a time, the feet at most %g mm apart (an octave is %.0f mm); %d notes in all.
The lowest bell can be repeated after %.2f s, the highest after %.2f s.
`, p.HandNotes, p.SlowHandNotes, p.HandReach, p.ManualDistance(0, 12),
		p.HandsReach, p.HandLeap,
		p.FootNotes, p.FeetReach, p.PedalDistance(0, 12), p.Notes,
		t.RepeatTime(low), t.RepeatTime(high))
	return err
}

func printJSON(w io.Writer, value any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(value)
}

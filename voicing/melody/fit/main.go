// Command fit fits the trees of package melody to the training archive and to
// the pieces in its folder.
//
//	xz -dc train.tar.xz | go run ./voicing/melody/fit -out FILE
//	xz -dc train.tar.xz | go run ./voicing/melody/fit -check 3
//
// The first writes the table of weights, in about twelve minutes on two
// processors. The second leaves every song out of the fit once and prints how
// well the forests of the other songs find its melody, in about 23 minutes. The same archive and pieces give the same table.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"undersong/voicing/melody/internal/model"
)

func main() {
	if err := run(os.Args[1:], os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "fit:", err)
		os.Exit(1)
	}
}

func run(args []string, in io.Reader, out io.Writer) error {
	flags := flag.NewFlagSet("fit", flag.ContinueOnError)
	check := flags.Int("check", 0, "cross-validate with this many folds and write nothing")
	file := flags.String("out", "", "write the weights to this file")
	how := usualPlan()
	if err := flags.Parse(args); err != nil {
		return err
	}
	switch {
	case *check == 0 && *file == "":
		return errors.New("nothing to do: give -out FILE or -check FOLDS")
	case *check < 0 || *check == 1:
		return fmt.Errorf("-check %d: two folds at least, one to fit to and one to find", *check)
	}
	songs, err := readArchive(in)
	if err != nil {
		return err
	}
	piano, err := pieces()
	if err != nil {
		return err
	}
	songs = append(songs, piano...)
	if *check > 0 {
		crossValidate(out, songs, how, *check)
		return nil
	}
	forests := fitForests(learning(songs), how)
	var table bytes.Buffer
	if err := model.WriteWeights(&table, forests); err != nil {
		return err
	}
	return os.WriteFile(*file, table.Bytes(), 0o644)
}

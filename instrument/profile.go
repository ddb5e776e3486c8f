package instrument

import (
	"bytes"
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Default names the profile that is used when none is asked for: 47 bells and
// two octaves of pedals, as the composition contest of the Guild of
// Carillonneurs in North America (GCNA) rules.
const Default = "47"

//go:embed profiles
var profiles embed.FS

// usual is the profile [Default], which all others are made of: it is read once.
// No sync.OnceValues: what reads a profile may ask for another one, and so for this.
var usual struct {
	once  sync.Once
	tower *Tower
	err   error
}

// Named is the profile of that name. The name is the number of bells, with
// "-short" for a narrow keyboard whose pedals end at G4; without it, the
// keyboard is wide and the pedals end at C5, or on the smallest, 23, at G4.
func Named(name string) (*Tower, error) {
	source, err := profiles.ReadFile("profiles/" + name + ".yaml")
	if err != nil {
		return nil, fmt.Errorf("no tower is named %q; there are %s", name, strings.Join(Names(), ", "))
	}
	if name == Default {
		usual.once.Do(func() { usual.tower, usual.err = parse(source, name+".yaml", Tower{}) })
		if usual.err != nil {
			return nil, usual.err
		}
		tower := *usual.tower
		return &tower, nil
	}
	return Read(bytes.NewReader(source), name+".yaml")
}

// Names lists the names that [Named] knows, from the fewest bells to the most.
func Names() []string {
	files, err := profiles.ReadDir("profiles")
	if err != nil {
		panic(err) // the folder is part of the program
	}
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f.Name(), ".yaml"))
	}
	slices.Sort(names)
	return names
}

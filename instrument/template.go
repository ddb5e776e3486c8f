package instrument

import "strings"

const templateHead = `# A tower. Only what differs from the profile below has to be said: take the
# "#" away from the start of a line such as "#transposition: 0" and change its
# value. All else is as in the profile.

name: our tower

# The profile that it starts from: "undersong tower" lists their names.
from: "47"

`

// Template is a file for a player to fill in. Every field is there as a
// comment, with what it means, the values it can have and the one that it has
// in the profile "47".
func Template() string {
	want := map[string]string{}
	for _, f := range fields() {
		want[f.name] = strings.TrimPrefix(f.want, "must be ")
	}
	var text strings.Builder
	text.WriteString(templateHead)
	_, body, _ := strings.Cut(string(rootProfile()), "\n\n")
	for line := range strings.Lines(body) {
		name, _, _ := strings.Cut(line, ":")
		if want[name] != "" {
			text.WriteString("# Allowed: " + want[name] + ".\n")
		}
		if line[0] != '#' && line[0] != '\n' {
			text.WriteByte('#')
		}
		text.WriteString(line)
	}
	return text.String()
}

func rootProfile() []byte {
	source, err := profiles.ReadFile("profiles/" + Default + ".yaml")
	if err != nil {
		panic(err) // the file is part of the program
	}
	return source
}

package sound

import "math"

// Air is the state of the air between bells and listener.
type Air struct {
	Celsius  float64 // -20 to 50
	Humidity float64 // relative, in per cent, 10 to 100
	Pressure float64 // kPa
}

// CoolAir is air of 10 °C and 70 % humidity at sea level, the first row of
// ISO 9613-2:1996, table 2.
var CoolAir = Air{Celsius: 10, Humidity: 70, Pressure: referencePressure}

const (
	referencePressure = 101.325 // kPa
	referenceKelvin   = 293.15  // 20 °C
	triplePoint       = 273.16  // K
)

// Absorption is what air takes from a tone, in dB a metre: ISO 9613-1:1993,
// formulas (3) to (5), with the humidity of its annex B. Held to its table 1
// within 1 %.
func (a Air) Absorption(hz float64) float64 {
	kelvin := a.Celsius + 273.15
	warmth := kelvin / referenceKelvin
	pressure := a.Pressure / referencePressure

	saturation := math.Pow(10, 4.6151-6.8346*math.Pow(triplePoint/kelvin, 1.261))
	vapour := a.Humidity * saturation / pressure // per cent of molecules

	oxygen := pressure * (24 + 4.04e4*vapour*(0.02+vapour)/(0.391+vapour))
	nitrogen := pressure / math.Sqrt(warmth) *
		(9 + 280*vapour*math.Exp(-4.170*(math.Pow(warmth, -1./3)-1)))

	classical := 1.84e-11 / pressure * math.Sqrt(warmth)
	relaxing := math.Pow(warmth, -2.5) *
		(0.01275*math.Exp(-2239.1/kelvin)/(oxygen+hz*hz/oxygen) +
			0.1068*math.Exp(-3352.0/kelvin)/(nitrogen+hz*hz/nitrogen))
	return 8.686 * hz * hz * (classical + relaxing)
}

// Place is where one listens.
type Place struct {
	Metres float64 // from every bell alike, at least 1
	Air    Air
}

// PlayersPlace is five metres from the bells, since they hang in the chamber
// above or beside the player's. Our choice, no source.
const PlayersPlace = 5.0

// Loss is how much weaker a tone is at the place than a metre from the bell,
// in dB: sound spreads over a sphere (6 dB for each doubling of the distance),
// and air absorbs some.
func (p Place) Loss(hz float64) float64 {
	return 20*math.Log10(p.Metres) + (p.Metres-1)*p.Air.Absorption(hz)
}

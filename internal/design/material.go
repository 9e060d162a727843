package design

import "feint/internal/mechanism"

// materials are those that a part can be made of by name. Densities, g/cm3:
// PLA 1.24 (data sheet of NatureWorks Ingeo 4043D), PETG 1.27, ABS 1.04, ASA
// 1.07, TPU 1.21, polyamide 1.14 and polycarbonate 1.20 (usual data sheet values
// of filament makers), steel 7.85 (EN 1993-1-1, 3.2.6), aluminium 2.70 (EN
// 1999-1-1, 3.2.5), brass 8.5 (usual value of free-cutting brass, 58 to 60 %
// copper), sintered neodymium magnets 7.5 (usual value of magnet makers).
func materials() []mechanism.Material {
	return []mechanism.Material{
		{Name: "PLA", Density: 1.24},
		{Name: "PETG", Density: 1.27},
		{Name: "ABS", Density: 1.04},
		{Name: "ASA", Density: 1.07},
		{Name: "TPU", Density: 1.21},
		{Name: "PA", Density: 1.14},
		{Name: "PC", Density: 1.20},
		{Name: "steel", Density: 7.85, Bought: true},
		{Name: "aluminium", Density: 2.70, Bought: true},
		{Name: "brass", Density: 8.5, Bought: true},
		{Name: "magnet", Density: 7.5, Bought: true},
	}
}

// frameColour and colours are what parts are shown in unless the maker says
// otherwise: grey for the frame, and for the others the set that M. Okabe and K.
// Ito chose to be told apart by all eyes (Color Universal Design, 2008).
const frameColour = "#b9bdc1"

func colours() []string {
	return []string{"#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"}
}

// namedColours are the sixteen of HTML 4.01 (section 6.5) and a few more of the
// CSS Color Module Level 3, for makers who do not count in sixteens.
func namedColours() map[string]string {
	return map[string]string{
		"black": "#000000", "silver": "#c0c0c0", "gray": "#808080", "grey": "#808080", "white": "#ffffff", "maroon": "#800000",
		"red": "#ff0000", "purple": "#800080", "fuchsia": "#ff00ff", "green": "#008000", "lime": "#00ff00", "olive": "#808000",
		"yellow": "#ffff00", "navy": "#000080", "blue": "#0000ff", "teal": "#008080", "aqua": "#00ffff",
		"orange": "#ffa500", "brown": "#a52a2a", "pink": "#ffc0cb", "gold": "#ffd700",
	}
}

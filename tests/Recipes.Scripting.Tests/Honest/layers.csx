// note: 2 will print, 1 filled, then 0 white
var white = Art.Find.PureWhite();
Art.MakePrintable(white, layer: "printable");
var orange = Art.Find.Like(new Rgba8(250, 140, 20), within: 1);
Art.Fill(orange, new Rgba8(240, 130, 10), layer: "warmer");
Report.Note($"{white.Count} will print, {orange.Count} filled, then {Art.Find.PureWhite().Count} white");

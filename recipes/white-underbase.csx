Recipe.Title("Lay a white underbase");
Recipe.Purpose("Makes the plane of white ink that goes under the colors on dark cloth: full under light and saturated colors, less in shadows, none where nothing prints or the cloth is white. The colors stay as they are. Run it last.");
Recipe.Version(1);
Recipe.Example("recipes dry-run white-underbase puffin-cut.png --setup black-garment-opaque-white");

var choke = Param.Length("choke", "0.2mm", help: "How far the white stays back from the edges of what prints; strokes keep theirs");
var strength = Param.Percent("strength", 100, help: "How much white a color gets that needs all of it");
var second = Param.Flag("second-pass", false, help: "Lay a second plane under art white");

var white = Art.LayUnderbase(choke, strength, second);
Report.Note(white == 0
    ? "No white is laid: nothing prints, or the cloth is white."
    : $"{white:#,0} pixels get white ink. It lies in a plane of its own; the colors are unchanged.");

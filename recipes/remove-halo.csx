Recipe.Title("Remove the halo");
Recipe.Purpose("Takes an old background out of the mixed pixels at the edge of the art, as deep as they go, so that no rim of it shows on the garment, and leaves bare what is background altogether.");
Recipe.Version(3);
Recipe.Example("recipes dry-run remove-halo puffin-cut.png --set background=#ffffff --setup black-garment");

var background = Param.Color("background", "#ffffff", help: "The old background's color");
var width = Param.OptionalLength("width", help: "How far from the outside its rim may reach; auto finds how deep it is, up to 2 mm");
var band = Param.Choice("band", ["ask", "keep", "remove"], help: "A band of the background's color round the art: keep a drawn outline, remove old paper; ask judges, and asks where it can't tell");

var outside = Art.Find.Outside(background);
if (outside.IsEmpty && background != Rgba8.White)
    Recipe.Decline($"No pixel is transparent and none at the border is {background}: say which background the art had.");
bool? take = band == "ask" ? null : band == "remove";
var rim = Art.Find.Rim(outside, background, width, take);
var other = rim.IsEmpty ? Art.Find.OtherRim(outside, background, width) : null;
if (other is { IsMultiplied: true })
    (rim, other) = (other, null);
string depth = $"{rim.Depth / Art.PixelsPerInch * 25.4:0.##} mm";
if (outside.IsEmpty)
    Report.Note($"Nothing is outside: no pixel is transparent, and none at the border is {background}. A picture that fills its frame has no rim.");
else if (rim.IsMultiplied)
    Report.Note($"Colors were multiplied by their alpha, {depth} deep: black goes out of {rim.Mixed.Count:#,0} pixels; {outside.Count:#,0} are outside and stay bare.");
else if (rim.IsEmpty)
    Report.Note($"No rim of {background} was found; {outside.Count:#,0} pixels are outside and stay bare.");
else
    Report.Note($"A rim of {rim.Background} is {depth} deep: {rim.Mixed.Count:#,0} pixels hold some of it, {rim.Paper.Count:#,0} nothing else; {outside.Count:#,0} are outside and stay bare.");
foreach (var question in Art.Find.RimQuestions(rim, other, take))
    Report.Ask(question);

Art.LeaveBare(outside.Union(rim.Paper), layer: "outside");
Art.TakeOut(rim.Mixed, rim.Background, layer: "halo removed");

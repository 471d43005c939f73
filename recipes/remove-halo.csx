Recipe.Title("Remove the halo");
Recipe.Purpose("Takes an old background out of the mixed pixels at the edge of the art, so that no rim of it shows on the garment, and leaves bare what is background altogether.");
Recipe.Version(1);
Recipe.Example("recipes dry-run remove-halo puffin-cut.png --set background=#ffffff --setup black-garment");

var background = Param.Color("background", "#ffffff", help: "The old background's color");
var width = Param.Length("width", "0.2mm", help: "How far from the outside its rim may reach");

var outside = Art.Find.Outside(background);
if (outside.IsEmpty)
    Recipe.Decline($"No pixel is transparent and none at the border is {background}: say which background the art had.");
var halo = Art.Find.Halo(outside, background, width);
Report.Note($"{halo.Count:#,0} pixels at the edge hold some of {background}; {outside.Count:#,0} pixels are outside and stay bare.");
Art.LeaveBare(outside, layer: "outside");
Art.TakeOut(halo, background, layer: "halo removed");

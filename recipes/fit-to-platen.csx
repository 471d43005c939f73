Recipe.Title("Fit to the platen");
Recipe.Purpose("Sizes the ink in printed inches and places it on the garment setup's platen, everything else bare. Tells the effective resolution and declines below 150 pixels per inch. Run it before any other recipe: it makes one layer.");
Recipe.Version(2);
Recipe.Example("recipes dry-run fit-to-platen puffin.png --set width=4in --set top=3in");
Recipe.RunOnce("Art that is resampled again gets softer.");

var width = Param.OptionalLength("width", help: "Printed width; the height follows");
var height = Param.OptionalLength("height", help: "Printed height; the width follows");
var by = Param.Choice("by", ["ink", "canvas"], help: "What is measured and placed: the ink, or the whole picture with its bare margins");
var place = Param.Choice("place", ["platen", "full-front", "left-chest", "back", "above-pocket"], help: "A usual place and size below the collar, or on the platen as top, left and center say");
var size = Param.Choice("size", ["adult", "large", "youth"], help: "The garment's size, for place; large is 2XL and up");
var collar = Param.Length("collar", "0in", help: "From the collar's lower edge down to the platen's top edge as the garment is loaded, for place");
var top = Param.OptionalLength("top", help: "From the platen's top edge; auto is what place says, or the safe margin");
var left = Param.OptionalLength("left", help: "From the platen's left edge; auto is what place says, or centered");
var center = Param.Flag("center", help: "Center in each direction that has no top or left");
var ppi = Param.Number("ppi", 300, min: 50, max: 1200, help: "Pixels per inch of the print file");
var low = Param.Flag("allow-low-resolution", help: "Go on below 150 pixels per inch");
var larger = Param.Flag("allow-larger", help: "Go on where width or height is more than place takes");

if (width is not null && height is not null)
    Recipe.Decline("Give width or height, not both: the other follows from the art's shape.");
if (place == "platen" && (size != "adult" || collar > 0))
    Recipe.Decline("size and collar say where a place lies: give place too, for instance place=left-chest.");
if (place != "platen" && center)
    Recipe.Decline("Give place or center, not both: a place says where the ink lies.");

var printed = Art.Find.Where(pixel => Setup.Ink.StateOf(pixel) == InkState.Prints);
var figure = Art.Find.Figure();
Box picture = new(0, 0, Art.Width, Art.Height), ink = figure.Bounds ?? picture, measured = by == "ink" ? ink : picture;

// Lengths come in px of the art; here they are inches.
double perInch = Art.PixelsPerInch, shape = (double)measured.Width / measured.Height, margin = Setup.SafeMargin;
var usual = place == "platen" ? null : PrintPlace.Of(place, size);
double? below = usual is null ? top / perInch : top / perInch ?? usual.BelowCollar - collar / perInch;
// As large as the place takes, and never more than the platen does from there on.
double mostWide = Math.Min(usual?.Width ?? double.MaxValue, Setup.PlatenWidth - 2 * margin - (left is null ? 2 * Math.Abs(usual?.FromCenter ?? 0) : 0)), mostTall = Setup.PlatenHeight - margin - (usual is null ? margin : below.Value);
mostTall = Math.Min(usual?.Height ?? double.MaxValue, mostTall);
double wide = width / perInch ?? height / perInch * shape ?? Math.Min(mostWide, mostTall * shape);
// A px of rounding is no fault.
if (usual is not null && !larger && (wide > usual.Width + 0.01 || wide / shape > usual.Height + 0.01))
    Recipe.Decline($"{wide:0.##} x {wide / shape:0.##} in is more than {place} takes on this size ({size}): {usual.Width:0.##} x {usual.Height:0.##} in, common practice. Leave width and height out, and it becomes as large as the place takes; give another size or place; or accept it with --set allow-larger=true.");
if (!(wide > 0))
    Recipe.Decline("The print would have no size.");
double tall = wide / shape, each = wide / measured.Width, effective = Math.Round(Art.Scale / each, 2);
var platen = Setup.PlatenAt(ppi);
int w = Math.Max(1, Pixels(wide)), h = Math.Max(1, Pixels(tall));
// Art that lies on a platen already would get softer and no better. Where a place is asked for, it isn't for us to say that it fits.
bool lying = Art.Width == platen.Width && Art.Height == platen.Height && Math.Abs(perInch - ppi) < 0.5, placed = top is not null || left is not null || center || usual is not null;
// Where it was enlarged, its edge is as soft as a px of it was wide.
int soft = (int)Math.Ceiling(1 / Art.Scale);
if (lying && !placed && !printed.IsEmpty
    && (width is not null ? ink.Width <= w + 2 * soft : height is not null ? ink.Height <= h + 2 * soft : ink.Within(platen.Grow(soft - Pixels(margin))) == ink))
{
    Report.Note($"It fits already: the art has the platen's size, and its ink measures {ink.Width / ppi:0.00} x {ink.Height / ppi:0.00} in. Nothing was sized or moved; to place it anew, begin with the art as it came.");
    // Moves nothing, and states the resolution where the art states none.
    Art.PlaceOnPlaten(platen, ppi);
    return;
}

if (effective < 150 && !low)
    Recipe.Decline($"{effective:0.#} pixels per printed inch are below the floor of 150. {(Math.Min(measured.Width, measured.Height) * Art.Scale < 2 ? "Ask" : $"Print it at most {Largest(measured.Width)} x {Largest(measured.Height)} in with --set {(height is null ? $"width={Largest(measured.Width)}" : $"height={Largest(measured.Height)}")}in, ask")} for larger art, or accept it with --set allow-low-resolution=true.");

int x = left is null ? (platen.Width - w) / 2 + Pixels(usual?.FromCenter ?? 0) : Pixels(left.Value / perInch);
int y = below is null ? center ? (platen.Height - h) / 2 : Pixels(margin) : Pixels(below.Value);
// Position and size round on their own; a px beyond the edge is rounding.
var box = new Box(x + w == platen.Right + 1 ? x - 1 : x, y + h == platen.Bottom + 1 ? y - 1 : y, w, h);
if (box.Within(platen) != box)
    Recipe.Decline($"{wide:0.##} x {tall:0.##} in at {x / ppi:0.##} in from the left and {y / ppi:0.##} in from the top isn't inside the platen of {Setup.PlatenWidth:0.##} x {Setup.PlatenHeight:0.##} in. Make it smaller, or move it.");

// The whole picture, at the scale of what was measured. Bare margins may reach beyond the platen.
var whole = new Box(box.X - Pixels(measured.X * each), box.Y - Pixels(measured.Y * each), Math.Max(1, Pixels(Art.Width * each)), Math.Max(1, Pixels(Art.Height * each)));
string what = by == "ink" ? "ink" : "art";
long around = printed.Except(figure).Count;
Report.Note($"The {what} measures {w / ppi:0.00} x {h / ppi:0.00} in on the garment, {box.X / ppi:0.00} in from the left and {box.Y / ppi:0.00} in from the top of the platen of {Setup.PlatenWidth:0.##} x {Setup.PlatenHeight:0.##} in.");
if (usual is not null)
    Report.Note($"Place: {place}, {size}: {usual.BelowCollar:0.##} in below the collar, {usual.FromCenter:0.##} in from the middle, at most {usual.Width:0.##} x {usual.Height:0.##} in; common practice, no source. Load the garment so that the platen's top edge lies {collar / perInch:0.##} in below the collar.");
// The trade's inches are those of what is seen, and on black cloth near-black isn't. How much of it goes is for pure-black to say, with its usual values here.
if (Setup.Ink.BlackBare && figure.Except(Art.Find.DrawnBlack(13, 3).Drawn).Bounds is { } seen && (seen.Width < ink.Width - 1 || seen.Height < ink.Height - 1))
    Report.Note($"Near-black reaches the ink's edge, and pure-black drops it under this setup: what is left measures about {seen.Width * each:0.00} x {seen.Height * each:0.00} in. Where the order means that, say {(height is null ? $"width={wide * ink.Width / seen.Width:0.##}in" : $"height={tall * ink.Height / seen.Height:0.##}in")}.");
if (by == "canvas" && ink != picture)
    Report.Note($"Its ink alone measures {ink.Width * each:0.00} x {ink.Height * each:0.00} in.");
if (by == "ink" && ink != picture)
    Report.Note($"The whole picture measures {Art.Width * each:0.00} x {Art.Height * each:0.00} in{(whole.Within(platen) == whole ? "" : around > 0 ? "; what lies beyond the platen is cut off: bare margin, and paper, dust or specks on it" : "; the bare margin beyond the platen is cut off")}.");
if (by == "ink" && around > 0 && printed.Bounds != figure.Bounds)
    Report.Note($"Not measured: {around:#,0} pixels of paper, dust or specks around it, which print where they lie on the platen. clean-background and remove-specks take them; where they are meant, say by=canvas.");
Report.Note($"Effective resolution: {effective:0.#} pixels per printed inch, {Worth(effective)}.");
if (box.X < Pixels(margin) || box.Y < Pixels(margin) || platen.Right - box.Right < Pixels(margin) || platen.Bottom - box.Bottom < Pixels(margin))
    Report.Note($"It reaches into the safe margin of {margin:0.##} in.");
if (lying && Art.Scale != 1)
    Report.Note("This recipe ran on the art already: it was resampled, and lies on a platen of this size.");
if (lying)
    Report.Note("The art has the platen's size already, so every pixel is held against the one that was there. To size or move what is printed, begin with the art as it came.");
bool same = whole.Width == Art.Width && whole.Height == Art.Height;
if (same)
    Report.Note("The art has that many pixels already; none was resampled.");
else
    Report.Note($"Resampled from {Art.Width} x {Art.Height} px to {whole.Width} x {whole.Height} px: Lanczos-3 on premultiplied linear light.");
Art.PlaceOnPlaten(whole, ppi, same ? 1 : 1 / (each * ppi));

// Divisions leave a remainder far below a px, which mustn't decide.
int Pixels(double inches) => (int)Math.Round(Math.Round(inches * ppi, 6), MidpointRounding.AwayFromZero);

// Rounded down, so that what is advised is enough.
string Largest(int pixels) => $"{Math.Floor(Math.Round(pixels * Art.Scale / 1.5, 6)) / 100:0.##}";

static string Worth(double effective) =>
    effective >= 300 ? "the usual target of 300 or more" :
    effective >= 200 ? "below the usual target of 300, acceptable" :
    effective >= 150 ? "enough for soft photographs, not for lettering" :
    "below the floor of 150, accepted with allow-low-resolution";

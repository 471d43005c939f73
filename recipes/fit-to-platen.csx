Recipe.Title("Fit to the platen");
Recipe.Purpose("Sizes the art in printed inches and places it on the garment setup's platen, everything else bare. Tells the effective resolution and declines below 150 pixels per inch. Run it before any other recipe: it makes one layer.");
Recipe.Version(1);
Recipe.Example("recipes dry-run fit-to-platen puffin.png --set width=4in --set top=3in");
Recipe.RunOnce("Art that is resampled again gets softer, and its effective resolution would be counted from resampled pixels.");

var width = Param.OptionalLength("width", help: "Printed width; the height follows");
var height = Param.OptionalLength("height", help: "Printed height; the width follows");
var top = Param.OptionalLength("top", help: "From the platen's top edge; auto is the safe margin");
var left = Param.OptionalLength("left", help: "From the platen's left edge; auto is centered");
var center = Param.Flag("center", help: "Center in each direction that has no top or left");
var ppi = Param.Number("ppi", 300, min: 50, max: 1200, help: "Pixels per inch of the print file");
var low = Param.Flag("allow-low-resolution", help: "Go on below 150 pixels per inch");

if (width is not null && height is not null)
    Recipe.Decline("Give width or height, not both: the other follows from the art's shape.");

// Lengths come in px of the art; here they are inches.
double perInch = Art.PixelsPerInch, shape = (double)Art.Width / Art.Height, margin = Setup.SafeMargin;
double wide = width / perInch ?? height / perInch * shape ?? Math.Min(Setup.PlatenWidth - 2 * margin, (Setup.PlatenHeight - 2 * margin) * shape);
if (!(wide > 0))
    Recipe.Decline("The print would have no size.");
double tall = wide / shape, effective = Math.Round(Art.Width / wide, 2);
var platen = Setup.PlatenAt(ppi);
int w = Math.Max(1, Pixels(wide)), h = Math.Max(1, Pixels(tall));
var printed = Art.Find.Where(pixel => Setup.Ink.StateOf(pixel) == InkState.Prints).Bounds;
// Art that lies on a platen already would shrink with all the bare garment around it. Where a place is asked for, it isn't for us to say that it fits.
bool lying = Art.Width == platen.Width && Art.Height == platen.Height && Math.Abs(perInch - ppi) < 0.5, placed = top is not null || left is not null || center;
if (lying && !placed && printed is Box lies
    && (width is not null ? lies.Width <= w : height is not null ? lies.Height <= h : lies.Within(platen.Grow(-Pixels(margin))) == lies))
{
    Report.Note($"It fits already: the art has the platen's size, and its ink measures {lies.Width / ppi:0.00} x {lies.Height / ppi:0.00} in. Nothing was sized or moved; to place it anew, begin with the art as it came.");
    // Moves nothing, and states the resolution where the art states none.
    Art.PlaceOnPlaten(platen, ppi);
    return;
}

if (effective < 150 && !low)
    Recipe.Decline($"{effective:0.#} pixels per printed inch are below the floor of 150. {(Math.Min(Art.Width, Art.Height) < 2 ? "Ask" : $"Print it at most {Largest(Art.Width)} x {Largest(Art.Height)} in with --set {(height is null ? $"width={Largest(Art.Width)}" : $"height={Largest(Art.Height)}")}in, ask")} for larger art, or accept it with --set allow-low-resolution=true.");

int x = left is null ? (platen.Width - w) / 2 : Pixels(left.Value / perInch);
int y = top is null ? center ? (platen.Height - h) / 2 : Pixels(margin) : Pixels(top.Value / perInch);
// Position and size round on their own; a px beyond the edge is rounding.
var box = new Box(x + w == platen.Right + 1 ? x - 1 : x, y + h == platen.Bottom + 1 ? y - 1 : y, w, h);
if (box.Within(platen) != box)
    Recipe.Decline($"{wide:0.##} x {tall:0.##} in at {x / ppi:0.##} in from the left and {y / ppi:0.##} in from the top isn't inside the platen of {Setup.PlatenWidth:0.##} x {Setup.PlatenHeight:0.##} in. Make it smaller, or move it.");

Report.Note($"The art measures {w / ppi:0.00} x {h / ppi:0.00} in on the garment, {box.X / ppi:0.00} in from the left and {box.Y / ppi:0.00} in from the top of the platen of {Setup.PlatenWidth:0.##} x {Setup.PlatenHeight:0.##} in.");
if (printed is Box ink && (ink.Width < Art.Width || ink.Height < Art.Height))
    Report.Note($"Its ink alone measures {ink.Width / effective:0.00} x {ink.Height / effective:0.00} in.");
Report.Note($"Effective resolution: {effective:0.#} pixels per printed inch, {Worth(effective)}.");
if (box.X < Pixels(margin) || box.Y < Pixels(margin) || platen.Right - box.Right < Pixels(margin) || platen.Bottom - box.Bottom < Pixels(margin))
    Report.Note($"It reaches into the safe margin of {margin:0.##} in.");
if (lying && w < Art.Width)
    Report.Note("The art has the platen's size already: it shrinks with the bare garment around it. To size or move what is printed, begin with the art as it came.");
if (w == Art.Width && h == Art.Height)
    Report.Note("The art has that many pixels already; none was resampled.");
else
    Report.Note($"Resampled from {Art.Width} x {Art.Height} px to {w} x {h} px: Lanczos-3 on premultiplied linear light.");
Art.PlaceOnPlaten(box, ppi);

int Pixels(double inches) => (int)Math.Round(inches * ppi, MidpointRounding.AwayFromZero);

// Rounded down, so that what is advised is enough.
static string Largest(int pixels) => $"{Math.Floor(pixels / 1.5) / 100:0.##}";

static string Worth(double effective) =>
    effective >= 300 ? "the usual target of 300 or more" :
    effective >= 200 ? "below the usual target of 300, acceptable" :
    effective >= 150 ? "enough for soft photographs, not for lettering" :
    "below the floor of 150, accepted with allow-low-resolution";

// Millimeters(px): a length as printed, such as "12.7 mm". Size(box): a box as printed, such as "12.7 x 8.5 mm".
// Portion(region): how much of the art a region is, such as "12.5%". All for Report.Note.
static string Millimeters(double px) => $"{px / Art.PixelsPerInch * 25.4:0.0} mm";

static string Size(Box box) => $"{box.Width / Art.PixelsPerInch * 25.4:0.0} x {Millimeters(box.Height)}";

static string Portion(Region region) => $"{100.0 * region.Count / ((double)Art.Width * Art.Height):0.0}%";

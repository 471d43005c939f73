// note: 2 white, 1 black, 4x2 at 300
Recipe.Title("Count");
var white = Art.Find.PureWhite();
var black = Art.Find.Where(pixel => pixel.IsPureBlack && pixel.LargestDifference(Rgba8.Black) == 0);
Report.Note($"{white.Count} white, {black.Count} black, {Art.Width}x{Art.Height} at {Setup.PixelsPerInch}");

// Thin(region, width): strokes and specks of a region that are certainly no wider than so many px; corners of wider parts stay
// out. A stroke is found from 2 px on, and one up to 1 px wider than asked for may be.
static Region Thin(Region region, double width) => region.Except(region.Choke(width / 2).Spread(width / 2 + 1.5));

// InnerBand(region, width): the pixels of a region within so many px of its edge, for a rim inside it.
// OuterBand(region, width): the pixels around it within so many px, for an outline.
// Distances are Euclidean and the edge of the image counts as an edge.
static Region InnerBand(Region region, double width) => region.Except(region.Choke(width));

static Region OuterBand(Region region, double width) => region.Spread(width).Except(region);

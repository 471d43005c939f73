// Holes(region): what a region encloses without being in it, such as counters of letters and the inside of a ring.
// Filled(region): the region with its holes closed. What touches the edge of the image is no hole; corners close.
static Region Holes(Region region)
{
    var around = region.Complement();
    return around.Except(around.OnBorder());
}

static Region Filled(Region region) => region.Union(Holes(region));

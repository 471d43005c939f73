using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Delivery;
using static Recipes.Shipped.Tests.Orders.Scenes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>Orders of drawings that nothing was tuned on.</summary>
internal static partial class OrderBook
{
    // Black prints on it, as on light cloth, and white shows, as on black.
    private static GarmentSetup RedCloth => Light with { Name = "red-garment", Garment = new Rgba8(178, 34, 48) };

    private static IEnumerable<Order> More()
    {
        Order[][] orders =
        [
            Orders(Lighthouse, [CutOut, JpegCut(80), Sharpened], [Dark]),
            Orders(AnchorBadge, [Trimmed, Jpeg(88), Web], [Dark]),
            Orders(AnchorBadge, [Paper], [RedCloth]),
            Orders(GullLines, [Jpeg(78)], [Light]),
            Orders(RopeFrame, [Paper], [Dark]),
            Orders(RopeFrame, [CreamJpeg(85)], [Light]),
            Orders(BuoyMascot, [Jpeg(65), OldRim(5, true)], [Dark]),
            Orders(Bib, [Paper], [Dark]),
            Orders(Sponsors, [Jpeg(92)], [Dark]),
            Orders(Squares, [Speckled], [Light]),
            Orders(HarborMap, [Jpeg(85)], [Dark]),
            Orders(Captain, [Jpeg(80)], [Dark]),
            Orders(Captain, [Scan], [Light]),
            Orders(WhiteShipLines, [HalvedCutOut], [Dark]),
            Orders(Stencil, [BlackRim(2)], [Dark]),
            Orders(HardShadow, [CutOut], [Dark]),
            Orders(SoftShadow, [CutOut], [Dark]),
            Orders(Crab, [Jpeg(68)], [Dark]),
            Orders(Arch, [OldRim(4, false)], [Dark]),
            Orders(Script, [Paper], [Dark]),
            Orders(Compass, [Paper, Jpeg(90)], [Dark]),
            Orders(Signals, [Jpeg(75)], [Dark]),
            Orders(Blotch, [Jpeg(80)], [Light]),
            Orders(Medallion, [Jpeg(80)], [Dark]),
            Orders(Postcard, [AsDrawnJpeg(75)], [Dark]),
            Orders(Poster, [AsDrawn], [Light]),
            Orders(Foil, [Paper], [Dark]),
            Orders(RaceFlag, [Paper], [Dark]),
            Orders(Checks, [Jpeg(80)], [Dark]),
            Orders(Contours, [Paper], [Dark]),
            Orders(IceBear, [Jpeg(80)], [Dark]),
            Orders(Dusk, [Paper], [Dark]),
            Orders(CropBoat, [Paper], [Dark]),
            Orders(CropTower, [Jpeg(82)], [Dark]),
            // The garment shows through them.
            Orders(Net, [Paper, Jpeg(82)], [Dark]),
            Orders(EveningSun, [Paper, Jpeg(85)], [Dark]),
            Orders(Helmet, [Paper, Jpeg(78)], [Dark]),
            Orders(Helmet, [OnCream], [Light]),
            Orders(CodeLabel, [Paper, Jpeg(90)], [Dark]),
            Orders(Card, [CutOut], [Dark, Opaque]),
            Orders(Pennant, [Jpeg(82), CutOut], [Dark]),
            Orders(Bib, [Jpeg(82)], [Dark]),
            Orders(Foil, [Jpeg(85)], [Dark]),
            Orders(Stencil, [Paper, OnGray], [Dark]),
            Orders(Blotch, [Paper], [Dark]),
            Orders(Script, [OnCream, OnGray, Scan], [Light]),
            Orders(LifeRing, [OnCream, CreamJpeg(85)], [Light, Dark]),
            Orders(AnchorBadge, [OnCream, OnGray], [Light]),
        ];
        return orders.SelectMany(each => each);
    }
}

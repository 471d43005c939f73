using Recipes.Hosting.Setups;
using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Delivery;
using static Recipes.Shipped.Tests.Orders.Scenes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>All orders: what a shop for the harbor fun run might get in a season.</summary>
internal static partial class OrderBook
{
    private static readonly GarmentSetup Light = Shipped("light-garment"), Dark = Shipped("black-garment"), Opaque = Shipped("black-garment-opaque-white");

    public static IReadOnlyList<Order> All { get; } = [.. Take(), .. More()];

    private static IEnumerable<Order> Take()
    {
        // Figures.
        foreach (var order in Orders(
            Puffin, [CutOut, Trimmed, Paper, OnCream, Scan, Jpeg(60), Jpeg(85), Resized, ResizedCutOut, OldRim(2, false), OldRim(4, true), DarkRim], [Dark]))
        {
            yield return order;
        }

        Order[][] rest =
        [
            Orders(Puffin, [CutOut, Paper, Jpeg(75), Scan, OldRim(3, false), DarkRim], [Light]),
            Orders(Puffin, [CutOut, Trimmed, Paper], [Opaque]),
            Orders(PureBlackPuffin, [CutOut, Paper, Jpeg(90)], [Dark]),
            Orders(Boat, [CutOut, Trimmed, Paper, OnGray, Jpeg(75), EnlargedJpeg(85)], [Dark]),
            Orders(Boat, [Paper, Jpeg(60)], [Light]),
            Orders(LifeRing, [CutOut, Trimmed], [Dark, Light, Opaque]),
            Orders(LifeRing, [Paper, Jpeg(80), Scan], [Dark]),
            Orders(LifeRing, [Resized], [Light]),
            Orders(PuffinInRing, [Paper, OldRim(6, false)], [Dark]),
            Orders(TwoFigures, [CutOut, Paper], [Dark]),
            // Lettering.
            Orders(Wordmark, [CutOut, Paper, Jpeg(75)], [Light, Dark]),
            Orders(Wordmark, [Trimmed, OldRim(1, true), OldRim(8, false)], [Dark]),
            Orders(OutlinedLettering, [CutOut, Trimmed, Jpeg(80)], [Dark]),
            Orders(OutlinedLettering, [Paper], [Light]),
            Orders(WhiteLettering, [CutOut, Trimmed, ResizedCutOut], [Dark, Opaque]),
            Orders(WhiteSmallType, [CutOut, Trimmed], [Dark, Opaque]),
            Orders(WhiteSmallSerif, [CutOut, ResizedCutOut], [Dark]),
            Orders(DarkSmallType, [CutOut, Paper, Jpeg(85)], [Light]),
            Orders(TypeOnPanel, [CutOut, Paper, Jpeg(90)], [Dark]),
            Orders(Names, [CutOut, Paper, Jpeg(70), Scan], [Light]),
            Orders(Names, [CutOut], [Opaque]),
            Orders(TightWordmark, [Paper, Jpeg(80)], [Dark]),
            Orders(TightWordmark, [Trimmed], [Light, Dark]),
            // Colors.
            Orders(Stars, [CutOut, Trimmed], [Light, Dark]),
            Orders(Stars, [Paper, OnGray], [Light]),
            Orders(Pale, [CutOut, Paper, Jpeg(85), Scan], [Light]),
            Orders(Pale, [CutOut, Trimmed, Paper], [Dark]),
            Orders(Darks, [CutOut, Paper, Jpeg(80), OldRim(2, true)], [Dark]),
            Orders(Cartoon, [CutOut, Jpeg(60), Jpeg(75), Jpeg(95), EnlargedJpeg(75)], [Dark]),
            Orders(Cartoon, [Jpeg(75), Resized], [Light]),
            Orders(OfficeLines, [Jpeg(60), Jpeg(75), Jpeg(85)], [Dark]),
            Orders(ThinOutlines, [CutOut, Trimmed], [Dark, Opaque]),
            Orders(RedShapes, [CutOut, ResizedCutOut, OldRim(5, true)], [Dark]),
            Orders(RedShapes, [CutOut, Jpeg(90)], [Light]),
            // Soft things and textures.
            Orders(Halftone, [CutOut, Paper], [Light, Dark]),
            Orders(WhiteHalftone, [CutOut], [Dark]),
            Orders(Grunge, [CutOut, Jpeg(85)], [Light]),
            Orders(WhiteGrunge, [CutOut, Trimmed], [Dark]),
            Orders(Wash, [CutOut, Paper, Jpeg(85)], [Light]),
            Orders(Wash, [Paper], [Dark]),
            Orders(Vignette, [CutOut, Paper], [Light, Dark]),
            Orders(Ramp, [Paper], [Light]),
            Orders(GlowCut, [CutOut, Trimmed], [Dark]),
            Orders(GlowCut, [Paper], [Light]),
            Orders(GlowOnBlack, [AsDrawn, AsDrawnJpeg(85)], [Dark]),
            Orders(DropShadow, [CutOut], [Light, Dark]),
            Orders(DropShadow, [Paper], [Light]),
            // Photographs, frames, sheets.
            Orders(Photo, [AsDrawn, AsDrawnJpeg(80)], [Light]),
            Orders(Photo, [AsDrawnJpeg(80)], [Dark]),
            Orders(PaleSkyPhoto, [AsDrawn, AsDrawnJpeg(85)], [Light]),
            Orders(NightPhoto, [AsDrawn, AsDrawnJpeg(90)], [Dark]),
            Orders(PhotoOnPaper, [Paper, Jpeg(85)], [Light, Dark]),
            Orders(SkyOnPaper, [Paper, Jpeg(85)], [Light, Dark]),
            Orders(PhotoCutOut, [CutOut], [Light, Dark, Opaque]),
            Orders(PhotoCutOut, [OldRim(3, true)], [Dark]),
            Orders(Scenes.Checkers, [AsDrawn], [Light, Dark]),
            Orders(Sheet, [CutOut], [Dark]),
            Orders(TurnedSheet, [CutOut], [Dark, Opaque]),
            Orders(StraightenedPage, [CutOut], [Dark]),
            Orders(OverrunSheet, [CutOut], [Dark, Light]),
            Orders(Sticker, [CutOut, Trimmed], [Dark]),
            Orders(Sticker, [CutOut], [Light]),
            // What runs off the picture.
            Orders(CropBottom, [Paper], [Dark, Light]),
            Orders(CropBottom, [CutOut], [Dark]),
            Orders(CropLeft, [Paper], [Dark]),
            Orders(CropRight, [Paper, Jpeg(80)], [Dark]),
            Orders(CropOneColor, [Paper, Jpeg(85)], [Dark]),
            Orders(CropTop, [Paper], [Dark]),
            Orders(CropCorner, [Paper], [Dark]),
            Orders(CropWhiteCorner, [Paper], [Dark]),
            Orders(CropThrough, [Paper, CutOut], [Dark]),
            Orders(Framed, [AsDrawn, AsDrawnJpeg(85)], [Dark]),
        ];
        foreach (var order in rest.SelectMany(orders => orders))
        {
            yield return order;
        }
    }

    private static Order[] Orders(Scene scene, Delivery[] deliveries, GarmentSetup[] setups) =>
        [.. deliveries.SelectMany(delivery => setups.Select(setup => new Order(scene, delivery, setup, KindsOf(scene, delivery))))];

    // What touches the picture's edge may be called mixed, since paper and art share it.
    private static Kinds KindsOf(Scene scene, Delivery delivery) =>
        scene == Scenes.Checkers ? Kinds.FullFrame | Kinds.Mixed | Kinds.OnPaper
        : scene == PaleSkyPhoto ? Kinds.FullFrame | Kinds.Mixed
        : scene.Opaque || scene == Framed ? Kinds.FullFrame
        : !delivery.OnPaper ? Kinds.CutOut
        : scene.Name.StartsWith("crop-", StringComparison.Ordinal) || scene == TwoFigures ? Kinds.OnPaper | Kinds.Mixed
        : Kinds.OnPaper;

    private static GarmentSetup Shipped(string name) => SetupStore.Shipped.Single(setup => setup.Name == name);
}

using Recipes.Imaging;
using Recipes.Shipped.Tests.Orders;

namespace Recipes.Shipped.Tests;

/// <summary>
/// Whites that a JPEG broke into pieces, of a boat drawn in vectors (SkiaSharp compresses it): the sail's number stands for the whole sail. What is drawn there
/// is known from the drawing.
/// </summary>
public class WhitePlacesTests
{
    // Inside the sail of the drawing, 107 to 332 by 94 to 491 px along its slanted side, and a block of compression away from its outline.
    private static readonly (int X, int Y)[] InSail =
    [
        .. from y in Enumerable.Range(150, 320) from x in Enumerable.Range(107, 225)
           where x < 320 && y < 479 && (332 - x) * 397 < (y - 94 - 24) * 225 select (x, y),
    ];

    [Theory]
    [InlineData(60)]
    [InlineData(75)]
    [InlineData(88)]
    public void A_sail_that_stays_bare_is_bare_and_one_that_prints_prints_whole(int quality)
    {
        var received = Delivery.Jpeg(quality).Send(Scenes.Boat.Rendering);
        var art = Plane<Rgba8>.FromContiguous(Scenes.Boat.Width, Scenes.Boat.Height, received.Pixels);
        var whites = Find.NumberedWhites(art, Artwork.FromPixels(art, 300).Ground, 24);
        whites.Count.ShouldBeGreaterThan(3, "the sail is in pieces");
        string sail = whites.MaxBy(white => white.Count)!.Number.ToString(System.Globalization.CultureInfo.InvariantCulture);

        Rgba8[] bare = Shelf.Run("printable-whites", art, Shelf.Black, ("except", sail)).Pixels;
        InSail.Count(at => Shelf.Black.Ink.StateOf(bare[(at.Y * art.Width) + at.X]) == InkState.Prints).ShouldBe(0);

        Rgba8[] printed = Shelf.Run("printable-whites", art, Shelf.Black, ("only", sail)).Pixels;
        InSail.Count(at => Shelf.Black.Ink.StateOf(printed[(at.Y * art.Width) + at.X]) != InkState.Prints).ShouldBe(0);
    }
}

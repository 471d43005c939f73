using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Shapes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>What runs off the picture.</summary>
internal static partial class Scenes
{
    public static readonly Scene CropBottom = new("crop-bottom", 600, 520, d => DrawPuffin(d, 60, 30, 480, 640, NearBlack, Doubt.Edge));

    public static readonly Scene CropLeft = new("crop-left", 480, 700, d => DrawBird(d, -180, 40, 560, 620));

    public static readonly Scene CropRight = new("crop-right", 480, 700, d => DrawBird(d, 110, 40, 560, 620));

    // All in one color, as gaps between letters are, with paper between the body and the rock that it stands on.
    public static readonly Scene CropOneColor = new("crop-one-color", 480, 720, d =>
    {
        DrawBird(d, -180, 40, 560, 600);
        d.Fill(Polygon((0, 660), (260, 640), (300, 700), (0, 700)), NearBlack);
    });

    public static readonly Scene CropTop = new("crop-top", 600, 480, d => DrawPuffin(d, 60, -330, 480, 740, NearBlack, Doubt.Edge));

    public static readonly Scene CropCorner = new("crop-corner", 520, 560, d =>
    {
        // The wing takes the corner, the belly the right side.
        DrawBird(d, 120, 60, 600, 700);
        d.Fill(Circle(540, 590, 190), NearBlack);
    });

    public static readonly Scene CropWhiteCorner = new("crop-white-corner", 520, 520, d => DrawBird(d, 120, 100, 600, 660));

    public static readonly Scene CropThrough = new("crop-through", 760, 460, d =>
    {
        // A flag through the whole width, white in the middle.
        d.Fill(Rect(0, 90, 760, 280), Red);
        d.Fill(Rect(0, 170, 760, 120), White, Doubt.Edge);
        d.Fill(Circle(380, 230, 46), Navy);
    });

    public static readonly Scene TwoFigures = new("two-figures", 820, 520, d =>
    {
        DrawPuffin(d, -120, 40, 400, 620, NearBlack, Doubt.Edge);
        DrawPuffin(d, 420, 40, 360, 430, NearBlack);
    });

    public static readonly Scene Framed = new("frame", 680, 680, d =>
    {
        d.Fill(Rect(0, 0, 680, 680), Navy);
        d.Fill(Rect(36, 36, 608, 608), White, Doubt.Enclosed);
        DrawPuffin(d, 180, 90, 320, 480, NearBlack, Doubt.Enclosed);
    });

    public static readonly Scene TightWordmark = new("tight-wordmark", 870, 176, d => d.Stroke(Lettering.Text("HARBOR", 20, 20, 136, 0.36), 40, Red));

    // A belly that spans the whole figure, so that any crop meets it.
    private static void DrawBird(OrderDrawing d, double x, double y, double across, double down)
    {
        d.Fill(Oval(x + (across / 2), y + (down / 2), across / 2, down / 2), NearBlack);
        d.Fill(Oval(x + (across / 2), y + (down * 0.56), across * 0.4, down * 0.36), White, Doubt.Edge);
        d.Fill(Circle(x + (across * 0.5), y + (down * 0.1), across * 0.04), White, Doubt.Enclosed);
    }
}

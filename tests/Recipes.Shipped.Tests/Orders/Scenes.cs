using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Shapes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>Figures and lettering with plain edges.</summary>
internal static partial class Scenes
{
    public static readonly Rgba8 Black = Rgba8.Black, NearBlack = new(20, 20, 20), OfficeBlack = new(35, 31, 32), White = Rgba8.White;
    public static readonly Rgba8 Orange = new(240, 124, 28), Yellow = new(250, 214, 20), Red = new(200, 30, 40), Sea = new(34, 92, 140);
    public static readonly Rgba8 Navy = new(20, 32, 74), Maroon = new(96, 16, 32), Cream = new(255, 248, 231), Pink = new(255, 231, 231),
        Sky = new(150, 200, 228), Slate = new(86, 98, 110);

    public static readonly Scene Puffin = new("puffin", 640, 760, d => DrawPuffin(d, 60, 40, 520, 680, NearBlack));

    public static readonly Scene PureBlackPuffin = new("puffin-black", 560, 680, d => DrawPuffin(d, 40, 40, 480, 600, Black));

    public static readonly Scene Boat = new("boat", 720, 720, d =>
    {
        d.Fill(Polygon((340, 60), (340, 500), (90, 500)), Navy);
        d.Fill(Polygon((332, 94), (332, 491), (107, 491)), White, Doubt.Enclosed);
        d.Fill(Polygon((372, 120), (372, 500), (600, 500)), Red);
        d.Fill(Rect(346, 50, 14, 480), OfficeBlack);
        d.Fill("M70 530L650 530L570 620L150 620Z", Navy);
        for (int k = 0; k < 6; k++)
        {
            d.Stroke(FormattableString.Invariant($"M{60 + (k * 100)} 660q25 -30 50 0q25 30 50 0"), 9, Sea);
        }
    });

    public static readonly Scene LifeRing = new("life-ring", 640, 640, d => DrawRing(d, 320, 320, 270));

    public static readonly Scene PuffinInRing = new("puffin-in-ring", 800, 800, d =>
    {
        DrawRing(d, 400, 400, 370);
        DrawPuffin(d, 280, 250, 240, 300, NearBlack);
    });

    public static readonly Scene Wordmark = new("wordmark", 900, 300, d =>
    {
        d.Stroke(Lettering.Text("HARBOR", 70, 60, 110, 0.4), 26, Red);
        d.Stroke(Lettering.Text("FUN RUN", 80, 200, 60), 12, Navy);
    });

    public static readonly Scene OutlinedLettering = new("outlined-lettering", 1000, 320, d =>
    {
        string text = Lettering.Text("HARBOR", 80, 90, 130, 0.46);
        // The outline runs around the ends too: nobody could tell white that is open to the paper from paper.
        d.StrokeOver(text, 46, NearBlack);
        d.StrokeOver(text, 28, White, Doubt.Enclosed);
    });

    public static readonly Scene WhiteLettering = new("white-lettering", 900, 360, d =>
    {
        d.Stroke(Lettering.Text("BOARD", 60, 50, 140, 0.42), 34, White);
        d.Stroke(Lettering.Text("PUFFIN RUN 2026", 70, 250, 56), 9, White);
    });

    public static readonly Scene WhiteSmallType = new("white-small-type", 800, 420, d => DrawSmallType(d, White, serifs: false));

    public static readonly Scene WhiteSmallSerif = new("white-small-serif", 800, 420, d => DrawSmallType(d, White, serifs: true));

    public static readonly Scene DarkSmallType = new("dark-small-type", 800, 420, d => DrawSmallType(d, Navy, serifs: false));

    public static readonly Scene TypeOnPanel = new("type-on-panel", 860, 500, d =>
    {
        d.Fill(Rect(30, 30, 800, 440), Navy);
        DrawSmallType(d, White, serifs: false, 40, 50, Doubt.Enclosed);
    });

    public static readonly Scene Names = new("names", 760, 620, d =>
    {
        string[] names = ["HARBOR FUN RUN", "ANA - PIER 6", "BORIS - BUOY 1", "CLARA - SAIL", "DORA - ROPE 2", "ERIK - CREW", "FINN - HULL", "GRETA - KEEL",
            "HUGO - MAST"];
        for (int k = 0; k < names.Length; k++)
        {
            d.Stroke(Lettering.Text(names[k], 60, 40 + (k * 62), k == 0 ? 40 : 26), k == 0 ? 8 : 4, k == 0 ? Red : NearBlack);
        }
    });

    public static readonly Scene Stars = new("stars", 700, 560, d =>
    {
        d.Fill(Star(220, 230, 170), Yellow);
        d.Fill(Star(220, 230, 100), White, Doubt.Enclosed);
        for (int k = 0; k < 14; k++)
        {
            d.Fill(Star(440 + (k % 4 * 62), 90 + (k / 4 * 90), 12 + (k % 5 * 4)), k % 2 == 0 ? Red : Sea);
        }

        for (int k = 0; k < 18; k++)
        {
            d.Fill(Circle(60 + (k * 34), 500, 3 + (k % 6)), Orange);
        }
    });

    public static readonly Scene Pale = new("pale-shapes", 760, 560, d =>
    {
        d.Fill(Circle(210, 210, 160), Cream);
        d.Fill(Rect(430, 60, 270, 220), Pink);
        d.Fill(Circle(210, 210, 60), Navy);
        d.Fill(Rect(500, 120, 130, 100), Maroon);
        d.Stroke(Line(80, 440, 690, 440), 60, Cream);
        d.Stroke(Line(80, 440, 690, 440), 12, new Rgba8(8, 8, 15));
        d.Stroke(Line(80, 520, 690, 500), 5, Pink);
    });

    public static readonly Scene Darks = new("tinted-darks", 640, 520, d =>
    {
        d.Fill(Rect(50, 50, 160, 400), new Rgba8(14, 22, 54));
        d.Fill(Rect(240, 50, 160, 400), new Rgba8(58, 10, 20));
        d.Fill(Rect(430, 50, 160, 400), new Rgba8(8, 8, 15));
        d.Stroke(Rect(50, 50, 540, 400), 14, NearBlack);
        d.Fill(Circle(320, 250, 70), Orange);
    });

    public static readonly Scene Cartoon = new("cartoon-outlines", 760, 700, d =>
    {
        (string Shape, Rgba8 Color)[] parts =
        [
            (Oval(380, 430, 250, 200), Sky), (Circle(250, 210, 110), Yellow), (Polygon((420, 90), (640, 300), (430, 320)), Red),
                (Oval(380, 470, 130, 110), Orange),
            (Rect(300, 560, 60, 90), Orange), (Rect(410, 560, 60, 90), Orange),
        ];
        foreach (var (shape, color) in parts)
        {
            d.Fill(shape, color);
            d.Stroke(shape, 7, NearBlack);
        }

        d.Stroke("M200 440q60 50 120 0M440 440q60 50 120 0", 4, NearBlack);
        d.Stroke(Lettering.Text("AHOY", 270, 445, 56, 0.44), 9, OfficeBlack);
        d.Fill(Circle(225, 190, 26), White, Doubt.Enclosed);
        d.Fill(Circle(228, 194, 11), NearBlack);
    });

    public static readonly Scene OfficeLines = new("office-black", 760, 560, d =>
    {
        // Pens of 2 to 14 px, and lettering, on paper and on colors.
        (string Shape, Rgba8 Color, double Pen)[] parts =
        [
            (Oval(180, 180, 140, 140), Sky, 9), (Star(420, 180, 130), Orange, 6), (Rect(570, 60, 140, 110), Red, 12), (Oval(640, 260, 80, 50), Yellow, 4),
        ];
        foreach (var (shape, color, pen) in parts)
        {
            d.Fill(shape, color);
            d.Stroke(shape, pen, OfficeBlack);
        }

        d.Fill(Circle(180, 180, 60), OfficeBlack);
        d.Stroke(Line(40, 345, 720, 352), 2, OfficeBlack);
        d.Stroke(Lettering.Text("HARBOR RUN", 50, 385, 64, 0.44), 14, OfficeBlack);
        d.Stroke(Lettering.Text("PIER 6 AT TEN - CREW AND SAIL", 50, 490, 26, 0.44), 4, OfficeBlack);
    });

    public static readonly Scene ThinOutlines = new("white-in-thin-outlines", 640, 480, d =>
    {
        foreach (var (shape, pen, color) in new[
            ] { (Circle(160, 150, 100), 1.0, Red), (Star(460, 160, 130), 1.5, Sea), (Rect(60, 300, 220, 130), 2.0, Maroon),
            (Oval(460, 370, 130, 60), 1.25, Slate) })
        {
            d.Fill(shape, White);
            d.Stroke(shape, pen, color);
        }
    });

    public static readonly Scene RedShapes = new("red-shapes", 640, 480, d =>
    {
        d.Fill(Star(200, 220, 170, 7, 0.6), Red);
        d.Fill(Oval(460, 200, 110, 150), new Rgba8(226, 60, 50));
        d.Stroke("M60 430C200 340 400 480 600 400", 18, Maroon);
    });

    private static void DrawSmallType(OrderDrawing d, Rgba8 color, bool serifs, double left = 0, double top = 0, Doubt doubt = Doubt.None)
    {
        double y = 20 + top;
        foreach (int points in (int[])[4, 6, 8, 10, 12])
        {
            // Capitals are about 0.7 of the size; stems of 0.09 (regular) and 0.15 (bold) of it. Common practice, no source.
            double size = points * 300 / 72.0, high = size * 0.7;
            string text = points >= 10 ? "HARBOR FUN RUN" : "HARBOR FUN RUN - PIER 6 AT TEN";
            d.Stroke(Lettering.Text(text, 30 + left, y, high, 0.4, serifs), size * 0.09, color, doubt);
            y += high + 16;
            d.Stroke(Lettering.Text(text, 30 + left, y, high, 0.46, serifs), size * 0.15, color, doubt);
            y += high + 18;
        }
    }

    private static void DrawRing(OrderDrawing d, double x, double y, double radius)
    {
        d.Fill(Circle(x, y, radius), Navy);
        d.Fill(Circle(x, y, radius * 0.96), White, Doubt.Enclosed);
        d.Fill(Circle(x, y, radius * 0.58), Navy);
        for (int k = 0; k < 4; k++)
        {
            double turn = (k * Math.PI / 2) + (Math.PI / 4);
            var corners = new[] { (0.59, -0.35), (0.95, -0.25), (0.95, 0.25), (0.59, 0.35) }.Select(corner =>
                (Math.Round(x + (radius * corner.Item1 * Math.Cos(turn + corner.Item2)), 3),
                    Math.Round(y + (radius * corner.Item1 * Math.Sin(turn + corner.Item2)), 3)));
            d.Fill(Polygon([.. corners]), Red);
        }

        d.Erase(Circle(x, y, radius * 0.54), Doubt.Enclosed);
    }

    internal static void DrawPuffin(OrderDrawing d, double x, double y, double across, double down, Rgba8 black, Doubt white = Doubt.Enclosed)
    {
        string At(string data) => Place(data, x, y, across, down);
        d.Fill(At("M 0.3 0.94 L 0.44 0.94 L 0.44 1 L 0.24 1 Z M 0.56 0.94 L 0.7 0.94 L 0.76 1 L 0.56 1 Z"), Orange);
        d.Fill(At(PuffinBody), black);
        d.Fill(At("M 0.5 0.4 C 0.72 0.44 0.8 0.7 0.68 0.88 C 0.58 0.94 0.42 0.94 0.32 0.88 C 0.2 0.7 0.28 0.44 0.5 0.4 Z"), White, white);
        d.Fill(At("M 0.42 0.08 C 0.56 0.08 0.62 0.16 0.6 0.24 C 0.56 0.34 0.38 0.34 0.32 0.24 C 0.3 0.16 0.34 0.1 0.42 0.08 Z"), White, Doubt.Enclosed);
        d.Fill(At("M 0.33 0.11 L 0.04 0.2 C 0.1 0.28 0.22 0.3 0.33 0.27 Z"), Orange);
        d.Fill(At("M 0.25 0.14 L 0.2 0.15 C 0.17 0.2 0.18 0.24 0.2 0.28 L 0.25 0.28 C 0.22 0.24 0.22 0.18 0.25 0.14 Z"), Yellow);
        d.Fill(Circle(x + (across * 0.46), y + (down * 0.17), across * 0.028), black);
    }

    internal const string PuffinBody =
        "M 0.5 0.02 C 0.72 0.02 0.8 0.2 0.76 0.36 C 0.95 0.5 0.98 0.8 0.78 0.94 C 0.62 0.98 0.38 0.98 0.24 0.94 C 0.04 0.8 0.06 0.5 0.26 0.36 C 0.22 0.2 "
            + "0.3 0.02 0.5 0.02 Z";
}

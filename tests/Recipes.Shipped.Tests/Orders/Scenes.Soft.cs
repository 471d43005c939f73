using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Shapes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>Fades, glows, shadows, textures and photographs.</summary>
internal static partial class Scenes
{
    public static readonly Scene Halftone = new("halftone", 640, 640, d =>
    {
        d.Paint(Circle(320, 320, 290), (x, y) =>
        {
            // A raster of 9 px, 33 lines per inch, at 45 degrees; dots of 4 to 94 percent.
            double u = (x + y) / Math.Sqrt(2) / 9, v = (x - y) / Math.Sqrt(2) / 9;
            double share = Math.Clamp(0.04 + (y / 640 * 0.9), 0, 1), radius = Math.Sqrt(share / Math.PI);
            double du = u - Math.Round(u), dv = v - Math.Round(v);
            return Math.Sqrt((du * du) + (dv * dv)) < radius ? Sea : default;
        }, Doubt.Texture);
        d.Fill(Star(320, 300, 90), Red);
    });

    public static readonly Scene WhiteHalftone = new("white-halftone", 560, 560, d => d.Paint(Circle(280, 280, 250), (x, y) =>
    {
        double du = (x / 8) - Math.Round(x / 8), dv = (y / 8) - Math.Round(y / 8), radius = 0.12 + (0.34 * (1 - (Math.Abs(x - 280) / 250)));
        return (du * du) + (dv * dv) < radius * radius ? White : default;
    }, Doubt.Texture));

    public static readonly Scene Grunge = new("grunge", 900, 360, d =>
    {
        string text = Lettering.Text("HARBOR", 75, 110, 124, 0.36);
        d.Stroke(text, 34, Maroon, Doubt.Texture);
        // Worn away inside, splashed around.
        var worn = new List<string>();
        var splashed = new List<string>();
        for (int k = 0; k < 1400; k++)
        {
            var speck = Circle(Math.Round(40 + (820 * Chance(1, k)), 2), Math.Round(50 + (260 * Chance(2, k)), 2),
                Math.Round(0.7 + (2.6 * Chance(3, k) * Chance(4, k)), 2));
            (k % 3 == 0 ? splashed : worn).Add(speck);
        }

        worn.ForEach(speck => d.Erase(speck, Doubt.Texture));
        splashed.ForEach(speck => d.Fill(speck, Maroon, Doubt.Texture));
    });

    public static readonly Scene WhiteGrunge = new("white-grunge", 800, 340, d =>
    {
        d.Stroke(Lettering.Text("CREW", 80, 90, 150, 0.44), 42, White, Doubt.Texture);
        for (int k = 0; k < 900; k++)
        {
            d.Erase(Circle(Math.Round(40 + (720 * Chance(5, k)), 2), Math.Round(50 + (240 * Chance(6, k)), 2), Math.Round(0.8 + (2.4 * Chance(7, k)), 2)),
                Doubt.Texture);
        }
    });

    public static readonly Scene Wash = new("wash", 720, 600, d =>
    {
        d.Paint((x, y) => Sea.WithAlpha(Level(255 * (1 - Smooth((Math.Sqrt(Math.Pow((x - 360) / 330, 2) + Math.Pow((y - 300) / 270, 2)) - 0.35) / 0.65)))),
            Doubt.Fade);
        DrawPuffin(d, 260, 170, 200, 260, NearBlack);
    });

    public static readonly Scene Vignette = new("vignette", 680, 680, d => d.Paint((x, y) =>
    {
        double far = Math.Sqrt(Math.Pow(x - 340, 2) + Math.Pow(y - 340, 2)) / 330;
        return Picture(11, x, y, 40, 215).WithAlpha(Level(255 * (1 - Smooth((far - 0.6) / 0.38))));
    }, Doubt.Fade));

    public static readonly Scene Ramp =
        new("ramp-to-white", 700, 420, d => d.Paint(Rect(50, 50, 600, 320), (x, _) => Orange.WithAlpha(Level(255 * (1 - ((x - 50) / 600)))), Doubt.Fade));

    public static readonly Scene GlowCut = new("glow", 640, 640, d =>
    {
        d.Paint((x, y) => Yellow.WithAlpha(Level(230 * (1 - Smooth((Math.Sqrt(Math.Pow(x - 320, 2) + Math.Pow(y - 320, 2)) - 130) / 170)))), Doubt.Fade);
        d.Fill(Star(320, 320, 150), Orange);
    });

    public static readonly Scene GlowOnBlack = new("glow-on-black", 640, 640, d =>
    {
        d.Paint((x, y) =>
        {
            double glow = 1 - Smooth((Math.Sqrt(Math.Pow(x - 320, 2) + Math.Pow(y - 320, 2)) - 120) / 180);
            return new Rgba8(Level(255 * glow), Level(170 * glow), Level(40 * glow));
        }, Doubt.Dark);
        d.Fill(Star(320, 320, 130), Yellow);
    }, Opaque: true);

    public static readonly Scene DropShadow = new("drop-shadow", 660, 760, d =>
    {
        d.Paint((x, y) => Black.WithAlpha(Level(150 * (1 - Smooth((Math.Sqrt(Math.Pow((x - 350) / 250, 2) + Math.Pow((y - 400) / 320, 2)) - 0.8) / 0.25)))),
            Doubt.Fade);
        d.Fill(Oval(320, 370, 230, 300), Red);
        d.Fill(Oval(320, 370, 150, 200), White, Doubt.Enclosed);
        d.Stroke(Lettering.Text("RUN", 245, 340, 60, 0.4), 14, Navy);
    });

    public static readonly Scene Sticker = new("sticker", 700, 820, d =>
    {
        string body = Place(PuffinBody, 90, 60, 520, 690);
        d.Fill(body, White, Doubt.Band);
        d.Stroke(body + Place("M 0.3 0.94 L 0.44 0.94 L 0.44 1 L 0.24 1 Z M 0.56 0.94 L 0.7 0.94 L 0.76 1 L 0.56 1 Z M 0.33 0.11 L 0.04 0.2 C 0.1 0.28 "
            + "0.22 0.3 0.33 0.27 Z", 90, 60, 520, 690), 48, White, Doubt.Band);
        DrawPuffin(d, 90, 60, 520, 690, NearBlack);
    });

    public static readonly Scene Photo = new("photo", 760, 560, d => d.Paint((x, y) => Picture(21, x, y, 60, 235)), Opaque: true);

    public static readonly Scene PaleSkyPhoto = new("photo-pale-sky", 760, 560, d => d.Paint((x, y) =>
    {
        // Sky that is nearly white at the top, sea below.
        double t = Smooth((y - 180) / 200);
        var sea = Picture(22, x, y, 40, 190);
        double sky = 240 + (15 * Noise(23, x, y, 120)) - (y / 25);
        return new Rgba8(Level((sky * (1 - t)) + (sea.R * t)), Level(((sky + 2) * (1 - t)) + (sea.G * t)),
            Level((Math.Min(255, sky + 6) * (1 - t)) + (sea.B * t)));
    }, Doubt.Fade), Opaque: true);

    public static readonly Scene NightPhoto = new("photo-night", 760, 560, d =>
    {
        d.Paint((x, y) =>
        {
            double light = Math.Pow(Noise(31, x, y, 150), 2) * Smooth(1.15 - (Math.Sqrt(Math.Pow((x - 380) / 380, 2) + Math.Pow((y - 280) / 280, 2)) * 0.85));
            double grain = 4 * (Chance(32, (int)x, (int)y) - 0.5);
            return new Rgba8(Level(6 + (150 * light) + grain), Level(6 + (140 * light) + grain), Level(8 + (128 * light) + grain));
        }, Doubt.Dark);
        d.Fill(Circle(560, 130, 46), new Rgba8(250, 244, 214));
    }, Opaque: true);

    public static readonly Scene PhotoOnPaper =
        new("photo-on-paper", 760, 640, d => d.Paint(Rect(90, 80, 580, 430), (x, y) => Picture(41, x, y, 30, 225), Doubt.Sheet));

    public static readonly Scene SkyOnPaper = new("sky-on-paper", 760, 640, d => d.Paint(Rect(90, 80, 580, 430), (x, y) =>
    {
        // A photograph whose sky is hardly darker than the paper that it lies on.
        double t = Smooth((y - 220) / 160), sky = 250 + (6 * (Noise(62, x, y, 60) - 0.5)) + (2 * (Chance(63, (int)x, (int)y) - 0.5));
        var sea = Picture(64, x, y, 40, 190);
        return new Rgba8(Level((sky * (1 - t)) + (sea.R * t)), Level((sky * (1 - t)) + (sea.G * t)), Level((sky * (1 - t)) + (sea.B * t)));
    }, Doubt.Sheet));

    public static readonly Scene PhotoCutOut =
        new("photo-cut-out", 640, 700, d => d.Paint(Place(PuffinBody, 60, 40, 520, 640), (x, y) => Picture(51, x, y, 50, 255)));

    public static readonly Scene Checkers = new("checkers", 720, 720, d =>
    {
        d.Paint((x, y) => (((int)x / 16) + ((int)y / 16)) % 2 == 0 ? White : new Rgba8(204, 204, 204), Doubt.Sheet, Part.Ground);
        DrawPuffin(d, 140, 80, 440, 570, NearBlack);
    }, Opaque: true);

    public static readonly Scene Sheet = new("white-sheet", 720, 720, d => DrawSheet(d, Rect(60, 90, 600, 540)));

    public static readonly Scene TurnedSheet = new("white-sheet-turned", 720, 720, d => DrawSheet(d, Turned(7, 600, 540)));

    // A scan set straight, with clear wedges where the turned page leaves the canvas.
    public static readonly Scene StraightenedPage = new("page-set-straight", 720, 720, d => DrawSheet(d, Turned(3, 720, 720)));

    public static readonly Scene OverrunSheet = new("white-sheet-overrun", 720, 720, d =>
    {
        DrawSheet(d, Rect(60, 90, 600, 540));
        d.Stroke(Line(20, 200, 180, 260), 22, Red);
        d.Fill(Rect(60, 480, 150, 90), Orange);
        d.Fill(Polygon((630, 250), (700, 330), (620, 420)), Navy);
    });

    private static void DrawSheet(OrderDrawing d, string sheet)
    {
        d.Paint(sheet, (_, _) => White, Doubt.Sheet, Part.Any);
        d.Fill(Circle(360, 330, 190), Sea);
        d.Fill(Star(360, 330, 120), Yellow);
        d.Stroke(Lettering.Text("HARBOR", 200, 550, 40, 0.4), 9, Navy);
    }

    // A rectangle around the middle, turned by so many degrees.
    private static string Turned(double degrees, double width, double height)
    {
        double across = Math.Cos(degrees * Math.PI / 180), down = Math.Sin(degrees * Math.PI / 180);
        return Polygon([.. new[] { (-1, -1), (1, -1), (1, 1), (-1, 1) }.Select(corner => (X: corner.Item1 * width / 2, Y: corner.Item2 * height / 2))
            .Select(at => (Math.Round(360 + (at.X * across) - (at.Y * down), 3), Math.Round(360 + (at.X * down) + (at.Y * across), 3)))]);
    }

    private static byte Level(double value) => (byte)Math.Clamp(Math.Round(value), 0, 255);

    // Smooth and grainy like a photograph, in earthy and watery colors, between two levels.
    private static Rgba8 Picture(int seed, double x, double y, double darkest, double lightest)
    {
        double a = Noise(seed, x, y, 160), b = Noise(seed + 1, x, y, 60), c = Noise(seed + 2, x, y, 19);
        double light = (a * 0.6) + (b * 0.25) + (c * 0.15), hue = Noise(seed + 3, x, y, 210), grain = 5 * (Chance(seed + 4, (int)x, (int)y) - 0.5);
        double level = darkest + ((lightest - darkest) * Math.Clamp((light * 1.4) - 0.2, 0, 1)) + grain;
        return new Rgba8(Level(level * (0.8 + (0.2 * hue))), Level(level * 0.92), Level(level * (1 - (0.25 * hue))));
    }
}

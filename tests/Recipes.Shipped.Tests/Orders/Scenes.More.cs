using System.Globalization;
using System.Text;
using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Shapes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>More of the season: badges, mascots, maps, stencils, flags, foil.</summary>
internal static partial class Scenes
{
    public static readonly Rgba8 Teal = new(0, 128, 128), Gold = new(212, 160, 23), Coral = new(255, 111, 97), Plum = new(98, 54, 120),
        
        Sand = new(230, 208, 170), Brown = new(92, 58, 30), Grass = new(70, 140, 60), Ice = new(236, 246, 252), Rope = new(196, 154, 96),
            Skin = new(236, 188, 150);

    public static readonly Scene Lighthouse = new("lighthouse", 420, 780, d =>
    {
        d.Fill("M40 740Q60 640 150 640L290 640Q380 660 390 740Z", Slate);
        const string tower = "M150 650L175 200L245 200L270 650Z";
        d.Fill(tower, White, Doubt.Enclosed);
        for (int k = 0; k < 3; k++)
        {
            double top = 250 + (k * 140), bottom = top + 70;
            d.Fill(Polygon((175 - ((top - 200) / 18), top), (245 + ((top - 200) / 18), top), (245 + ((bottom - 200) / 18), bottom),
                (175 - ((bottom - 200) / 18), bottom)), Red);
        }

        d.Stroke(tower, 5, Navy);
        d.Fill(Rect(160, 180, 100, 22), Navy);
        d.Fill(Rect(180, 120, 60, 60), Yellow);
        d.Stroke(Rect(180, 120, 60, 60), 5, Navy);
        d.Fill(Polygon((165, 122), (210, 60), (255, 122)), Red);
    });

    public static readonly Scene AnchorBadge = new("anchor-badge", 700, 700, d =>
    {
        d.Fill(Circle(350, 350, 320), Teal);
        d.Erase(Circle(350, 350, 225), Doubt.Enclosed);
        d.Stroke(Circle(350, 350, 306), 5, Sand);
        d.Stroke(Circle(350, 350, 238), 5, Sand);
        d.Stroke(Arc("HARBOR FUN RUN", 350, 350, 250, 40, -90), 9, White, Doubt.Enclosed);
        d.Stroke(Arc("PIER 6 - 2026", 350, 350, 250, 40, 90, below: true), 9, White, Doubt.Enclosed);
        DrawAnchor(d, 350, 200, 300, 26, Teal);
    });

    public static readonly Scene GullLines = new("gull-lines", 640, 420, d =>
    {
        for (int k = 0; k < 9; k++)
        {
            double x = 40 + (k % 3 * 200) + (k * 5), y = 90 + (k / 3 * 120), size = 0.5 + (0.12 * (k % 5));
            d.Stroke(Place("M 0 0.3 C 0.2 -0.1 0.4 0 0.5 0.4 C 0.6 0 0.8 -0.1 1 0.3", x, y, 130 * size, 60 * size), 1.5 + (k * 0.4), Slate);
        }
    });

    public static readonly Scene RopeFrame = new("rope-frame", 760, 520, d =>
    {
        for (int k = 0; k < 52; k++)
        {
            var (x, y) = k < 17 ? (60 + (k * 40), 60) : k < 26 ? (700, 60 + ((k - 16) * 40)) : k < 43 ? (700 - ((k - 26) * 40), 460) : (60,
                460 - ((k - 42) * 40));
            d.Fill(Oval(x, y, 26, 14), Rope);
            d.Stroke(Oval(x, y, 26, 14), 3, Brown);
        }

        d.Stroke(Lettering.Text("SAIL", 200, 150, 120, 0.4), 24, Brown);
        d.Stroke(Lettering.Text("WITH THE CREW", 130, 330, 38, 0.36), 8, Brown);
    });

    public static readonly Scene BuoyMascot = new("buoy-mascot", 560, 720, d => DrawBuoy(d, 0, 0, 1));

    public static readonly Scene Bib = new("bib-number", 900, 420, d =>
    {
        string text = Lettering.Text("2016", 90, 90, 220, 0.42);
        d.StrokeOver(text, 92, Plum);
        d.StrokeOver(text, 70, White, Doubt.Enclosed);
        d.StrokeOver(text, 44, Gold);
    });

    public static readonly Scene Sponsors = new("sponsor-bars", 900, 360, d =>
    {
        (string Text, Rgba8 Color)[] bars = [("ROPE-CO", Navy), ("SALT BAR", Grass), ("KEEL", Coral), ("PORT FM", Plum), ("BUOY 1", OfficeBlack),
            ("MAST", Gold)];
        for (int k = 0; k < bars.Length; k++)
        {
            double x = 40 + (k % 3 * 280), y = 40 + (k / 3 * 130);
            d.Fill(Rect(x, y, 260, 96), bars[k].Color);
            d.Stroke(Lettering.Text(bars[k].Text, x + 26, y + 34, 30, 0.36), 6, White, Doubt.Enclosed);
        }

        d.Stroke(Lettering.Text("THANKS TO OUR CREW", 190, 308, 24, 0.4), 4, Slate);
    });

    public static readonly Scene Squares = new("code-squares", 480, 480, d => DrawSquares(d, 48, 48, 16, Navy));

    public static readonly Scene HarborMap = new("harbor-map", 800, 640, d =>
    {
        d.Fill(Rect(40, 40, 720, 560), new Rgba8(196, 224, 238));
        const string land = "M40 40L420 40C400 120 300 130 320 220C340 300 220 300 200 380C190 440 240 520 120 600L40 600Z";
        d.Fill(land, new Rgba8(222, 232, 200));
        d.Stroke(land, 3, Slate);
        d.Stroke("M60 60C160 120 120 260 110 380L90 580M120 250L320 60", 7, White, Doubt.Enclosed);
        d.Stroke("M340 220C460 260 560 200 640 320C660 420 520 500 420 520", 4, Red);
        d.Stroke(Lettering.Text("PIER", 240, 190, 18, 0.4), 3, NearBlack);
        d.Stroke(Lettering.Text("HARBOR", 460, 380, 34, 0.5), 5, Sea);
        d.Fill(Circle(340, 220, 11), Red);
        d.Fill(Circle(340, 220, 5), White, Doubt.Enclosed);
        d.Stroke(Rect(40, 40, 720, 560), 8, Navy);
    });

    public static readonly Scene Captain = new("captain", 560, 700, d =>
    {
        d.Fill("M60 680C70 560 180 540 280 540C380 540 490 560 500 680Z", Navy);
        d.Fill(Oval(280, 320, 140, 180), Skin);
        const string beard = "M140 350C150 560 220 600 280 600C340 600 410 560 420 350C390 440 340 400 280 410C220 400 170 440 140 350Z";
        d.Fill(beard, White, Doubt.Enclosed);
        d.Stroke(beard, 5, Navy);
        const string cap = "M120 220C110 120 180 80 280 80C380 80 450 120 440 220Z";
        d.Fill(cap, White, Doubt.Enclosed);
        d.Stroke(cap, 5, Navy);
        d.Fill("M110 215L450 215L430 260L130 260Z", Navy);
        d.Fill(Circle(280, 165, 26), Gold);
        foreach (int x in (int[])[220, 340])
        {
            d.Fill(Oval(x, 310, 22, 14), White, Doubt.Enclosed);
            d.Stroke(Oval(x, 310, 22, 14), 3, NearBlack);
            d.Fill(Circle(x, 310, 9), Sea);
        }

        d.Stroke("M250 470Q280 486 310 470", 6, Maroon);
    });

    public static readonly Scene WhiteShipLines = new("ship-lines-white", 720, 600, d => DrawShip(d, White));

    public static readonly Scene Stencil = new("stencil", 600, 600, d =>
    {
        d.Fill(Circle(300, 300, 260), Coral);
        d.Erase(Rect(285, 0, 30, 600));
        d.Erase("M60 360Q180 300 300 360T540 360L540 385Q420 325 300 385T60 385Z");
        d.Fill(Polygon((200, 110), (270, 110), (270, 320), (90, 320)), Navy);
        d.Fill(Polygon((330, 110), (400, 110), (510, 320), (330, 320)), Navy);
    });

    public static readonly Scene HardShadow = new("hard-shadow-lettering", 860, 300, d =>
    {
        string text = Lettering.Text("AHOY CREW", 50, 90, 76, 0.4), shadow = Lettering.Text("AHOY CREW", 58, 100, 76, 0.4);
        d.StrokeOver(shadow, 20, Red);
        d.StrokeOver(text, 20, White, Doubt.Enclosed);
    });

    public static readonly Scene SoftShadow = new("soft-shadow-lettering", 860, 320, d =>
    {
        string text = Lettering.Text("HARBOR", 70, 80, 130, 0.42);
        for (int k = 0; k < 6; k++)
        {
            d.StrokeOver(Lettering.Text("HARBOR", 78, 92, 130, 0.42), 64 - (k * 6), Plum.WithAlpha(40), Doubt.Fade);
        }

        d.StrokeOver(text, 30, White, Doubt.Enclosed);
    });

    public static readonly Scene Crab = new("crab", 680, 520, d =>
    {
        (string Shape, Rgba8 Color)[] parts =
        [
            (Oval(340, 320, 200, 130), Coral), (Oval(110, 170, 70, 50), Coral), (Oval(570, 170, 70, 50), Coral), (Oval(340, 370, 110, 50), Maroon),
        ];
        d.Stroke("M170 260L120 215M510 260L560 215M160 400L90 460M210 430L160 490M520 400L590 460M470 430L520 490", 22, NearBlack);
        foreach (var (shape, color) in parts)
        {
            d.Fill(shape, color);
            d.Stroke(shape, 8, NearBlack);
        }

        for (int k = 0; k < 6; k++)
        {
            d.Fill(Rect(258 + (k * 28), 346 - (k % 5 == 0 ? -8 : 0), 22, 20), White, Doubt.Enclosed);
        }

        foreach (int x in (int[])[280, 400])
        {
            d.Fill(Circle(x, 190, 44), White, Doubt.Enclosed);
            d.Stroke(Circle(x, 190, 44), 8, NearBlack);
            d.Fill(Circle(x + 8, 198, 18), NearBlack);
            d.Fill(Circle(x + 14, 192, 6), White, Doubt.Enclosed);
        }
    });

    public static readonly Scene Arch = new("arched-lettering", 900, 420, d =>
    {
        d.Stroke(Arc("HARBOR RUN", 450, 620, 430, 110, -90, 0.36), 24, Teal);
        d.Stroke(Lettering.Text("CREW", 330, 290, 70, 0.42), 14, Coral);
    });

    public static readonly Scene Script = new("script", 760, 360, d => DrawScript(d, Maroon));

    public static readonly Scene Compass = new("compass-rose", 600, 600, d =>
    {
        d.Stroke(Circle(300, 300, 190), 4, Navy);
        for (int k = 0; k < 8; k++)
        {
            double turn = k * Math.PI / 4, far = k % 2 == 0 ? 260 : 170, near = 60;
            (double, double) At(double angle, double r) => (Math.Round(300 + (r * Math.Cos(angle)), 2), Math.Round(300 + (r * Math.Sin(angle)), 2));
            string one = Polygon((300, 300), At(turn, far), At(turn + (Math.PI / 8), near)), other = Polygon((300, 300), At(turn, far),
                At(turn - (Math.PI / 8), near));
            d.Fill(one, Navy);
            d.Fill(other, White, Doubt.Enclosed);
            d.Stroke(other, 4, Navy);
        }
    });

    public static readonly Scene Signals = new("signal-flags", 760, 240, d =>
    {
        for (int k = 0; k < 5; k++)
        {
            double x = 40 + (k * 140);
            d.Fill(Rect(x, 60, 120, 120), White, Doubt.Enclosed);
            if (k % 2 == 0)
            {
                d.Fill(Rect(x, 60, 60, 60), k == 2 ? Yellow : Red);
                d.Fill(Rect(x + 60, 120, 60, 60), k == 2 ? Sea : Red);
            }
            else
            {
                d.Fill(Polygon((x + 60, 70), (x + 110, 120), (x + 60, 170), (x + 10, 120)), k == 1 ? Navy : Red);
            }

            d.Stroke(Rect(x, 60, 120, 120), 3, NearBlack);
        }
    });

    public static readonly Scene Blotch = new("watercolor", 680, 560, d =>
    {
        d.Paint((x, y) =>
        {
            double far = Math.Sqrt(Math.Pow((x - 340) / 290, 2) + Math.Pow((y - 280) / 230, 2)) + (0.35 * (Noise(81, x, y,
                50) - 0.5)) + (0.2 * (Noise(82, x, y, 17) - 0.5));
            double deep = 0.45 + (0.35 * Noise(83, x, y, 90)) + (far > 0.9 ? 0.2 * (far - 0.9) / 0.1 : 0);
            return far > 1 ? default : Between(White, Teal, Math.Min(1, deep));
        });
        DrawAnchor(d, 340, 150, 240, 20, Navy);
    });

    public static readonly Scene Medallion = new("photo-in-ring", 640, 640, d =>
    {
        d.Fill(Circle(320, 320, 290), Navy);
        d.Fill(Circle(320, 320, 272), White, Doubt.Enclosed);
        d.Paint(Circle(320, 320, 246), (x, y) => Picture(91, x, y, 50, 230));
    });

    public static readonly Scene Postcard = new("postcard", 760, 560, d =>
    {
        d.Paint((x, y) => Picture(95, x, y, 40, 220));
        d.Stroke(Lettering.Text("AHOY", 180, 200, 130, 0.42), 30, White);
        d.Stroke(Lettering.Text("FROM THE HARBOR", 170, 400, 36, 0.42), 8, White);
    }, Opaque: true);

    public static readonly Scene Poster = new("poster", 640, 800, d =>
    {
        d.Fill(Rect(0, 0, 640, 800), Teal);
        d.Fill(Circle(320, 300, 190), Yellow);
        d.Fill(Polygon((330, 160), (330, 440), (170, 440)), White);
        d.Fill(Polygon((350, 200), (350, 440), (470, 440)), Coral);
        d.Fill("M160 460L490 460L430 530L220 530Z", Navy);
        d.Stroke(Lettering.Text("HARBOR RUN", 60, 640, 50, 0.34), 12, White);
    }, Opaque: true);

    public static readonly Scene Foil = new("gold-foil", 900, 300, d =>
    {
        string text = Lettering.Text("GOLD RUN", 60, 90, 92, 0.4);
        d.StrokeOver(text, 34, Brown);
        Rgba8 Shine(double y) => (y - 60) / 170 is var t && t < 0.45 ? Between(new Rgba8(255, 250, 224), Gold, t / 0.45) : Between(new Rgba8(120, 80,
            10), new Rgba8(255, 232, 140), (t - 0.45) / 0.55);
        d.PaintStroke(text, 22, (_, y) => Shine(y));
    });

    public static readonly Scene RaceFlag = new("race-flag", 720, 480, d =>
    {
        for (int k = 0; k < 70; k++)
        {
            d.Fill(Rect(80 + (k % 10 * 44), 60 + (k / 10 * 44), 44, 44), ((k % 10) + (k / 10)) % 2 == 0 ? NearBlack : White,
                ((k % 10) + (k / 10)) % 2 == 0 ? Doubt.None : Doubt.Enclosed);
        }

        d.Stroke(Rect(80, 60, 440, 308), 5, NearBlack);
        d.Fill(Rect(60, 40, 22, 430), Brown);
        d.Stroke(Lettering.Text("FINISH", 190, 400, 50, 0.4), 11, Red);
    });

    public static readonly Scene Checks = new("gray-checks", 560, 560, d =>
    {
        d.Paint(Circle(280, 280, 240), (x, y) => (((int)x / 20) + ((int)y / 20)) % 2 == 0 ? Slate : Ice);
        d.Stroke(Circle(280, 280, 240), 16, Navy);
        d.Fill(Star(280, 280, 120), Coral);
    });

    public static readonly Scene Contours = new("contours", 680, 600, d => DrawContours(d, Grass));

    public static readonly Scene IceBear = new("ice-bear", 600, 640, d =>
    {
        const string body = "M300 60C400 60 430 140 420 200C520 280 540 480 470 580L130 580C60 480 80 280 180 200C170 140 200 60 300 60Z";
        d.Paint(body, (x, _) => Between(White, new Rgba8(206, 218, 228), Smooth((x - 300) / 240)), Doubt.Enclosed);
        d.Stroke(body, 9, Navy);
        d.Fill(Oval(300, 200, 34, 24), Navy);
        d.Fill(Circle(250, 150, 10), Navy);
        d.Fill(Circle(350, 150, 10), Navy);
        d.Stroke("M200 420Q300 500 400 420", 8, Navy);
        d.Fill(Rect(150, 300, 300, 60), Red);
    });

    public static readonly Scene Dusk = new("dusk-panel", 700, 460, d =>
    {
        d.Paint(Rect(40, 40, 620, 380), (_, y) => Between(new Rgba8(24, 20, 60), new Rgba8(250, 150, 90), (y - 40) / 380), Doubt.Sheet);
        d.Fill("M40 420L40 340Q160 280 300 340T660 320L660 420Z", NearBlack, Doubt.Sheet);
        d.Fill(Circle(480, 140, 36), new Rgba8(255, 250, 230), Doubt.Sheet);
    });

    public static readonly Scene CropBoat = new("crop-hull-left", 560, 520, d =>
    {
        d.Fill("M-120 330L440 330L370 460L-60 460Z", Red);
        d.Fill(Rect(-100, 360, 490, 26), White, Doubt.Edge);
        d.Fill(Polygon((160, 40), (160, 310), (-100, 310)), Gold);
        d.Fill(Polygon((180, 90), (180, 310), (350, 310)), Sea);
    });

    public static readonly Scene CropTower = new("crop-tower-top", 480, 560, d =>
    {
        d.Fill(Polygon((160, -20), (320, -20), (350, 500), (130, 500)), White, Doubt.Edge | Doubt.Enclosed);
        d.Stroke(Polygon((160, -20), (320, -20), (350, 500), (130, 500)), 8, Plum);
        d.Fill(Rect(148, 120, 184, 90), Plum);
        d.Fill(Rect(138, 320, 204, 90), Plum);
        d.Fill("M60 500L420 500L440 530L40 530Z", Slate);
    });

    private static void DrawAnchor(OrderDrawing d, double x, double top, double high, double pen, Rgba8 color, Doubt doubt = Doubt.None)
    {
        d.Stroke(Circle(x, top + (high * 0.1), high * 0.09), pen * 0.8, color, doubt);
        d.Stroke(Line(x, top + (high * 0.18), x, top + high), pen, color, doubt);
        d.Stroke(Line(x - (high * 0.2), top + (high * 0.32), x + (high * 0.2), top + (high * 0.32)), pen, color, doubt);
        d.Stroke(Place("M -0.36 0.66 C -0.3 0.9 -0.1 0.98 0 0.98 C 0.1 0.98 0.3 0.9 0.36 0.66", x, top, high, high), pen, color, doubt);
    }

    private static void DrawBuoy(OrderDrawing d, double left, double top, double scale)
    {
        string At(string data) => Place(data, left, top, scale, scale);
        void Part(string shape, Rgba8 color, Doubt doubt = Doubt.None)
        {
            d.Fill(shape, color, doubt);
            d.Stroke(shape, 9 * scale, NearBlack);
        }

        string Eye(double x, double r) => Circle(left + (x * scale), top + (270 * scale), r * scale);
        Part(At("M 280 40 L 320 120 L 240 120 Z"), Gold);
        Part(At("M 280 120 C 420 120 470 260 480 420 L 80 420 C 90 260 140 120 280 120 Z"), Red);
        Part(At("M 60 420 L 500 420 L 520 520 L 40 520 Z"), White, Doubt.Enclosed);
        Part(At("M 40 520 L 520 520 C 520 620 400 670 280 670 C 160 670 40 620 40 520 Z"), Teal);
        foreach (double x in (double[])[220, 340])
        {
            Part(Eye(x, 46), White, Doubt.Enclosed);
            d.Fill(Eye(x + 8, 20), NearBlack);
            d.Fill(Circle(left + ((x + 16) * scale), top + (260 * scale), 7 * scale), White, Doubt.Enclosed);
        }

        Part(At("M 200 345 L 360 345 C 350 400 210 400 200 345 Z"), Maroon);
        d.Fill(At("M 222 352 L 338 352 L 334 364 L 226 364 Z"), White, Doubt.Enclosed);
    }

    private static void DrawShip(OrderDrawing d, Rgba8 color)
    {
        d.Stroke("M60 430L660 430C640 500 590 540 560 550L150 550C110 530 80 480 60 430Z", 5, color);
        d.Stroke(Line(360, 60, 360, 430), 6, color);
        d.Stroke("M350 80C300 200 240 330 110 410L350 410ZM372 110C470 200 560 320 600 410L372 410Z", 4, color);
        d.Stroke("M60 430L360 70L650 430M150 470L560 470M170 500L540 500", 2, color);
        for (int k = 0; k < 6; k++)
        {
            d.Stroke(Circle(180 + (k * 70), 450, 9), 3, color);
        }
    }

    private static void DrawSquares(OrderDrawing d, double left, double top, double cell, Rgba8 color)
    {
        for (int k = 0; k < 24 * 24; k++)
        {
            int x = k % 24, y = k / 24;
            bool corner = (x < 8 && y < 8) || (x > 15 && y < 8) || (x < 8 && y > 15);
            if (!corner && Chance(107, x, y) < 0.48)
            {
                d.Fill(Rect(left + (x * cell), top + (y * cell), cell, cell), color);
            }
        }

        foreach (var (x, y) in new[] { (0, 0), (17, 0), (0, 17) })
        {
            d.Stroke(Rect(left + ((x + 0.5) * cell), top + ((y + 0.5) * cell), 6 * cell, 6 * cell), cell, color);
            d.Fill(Rect(left + ((x + 2) * cell), top + ((y + 2) * cell), 3 * cell, 3 * cell), color);
        }
    }

    // Thick downstrokes, thin upstrokes: circles along loops.
    private static void DrawScript(OrderDrawing d, Rgba8 color)
    {
        for (double t = 0; t <= 1; t += 0.0015)
        {
            double turn = t * 7 * 2 * Math.PI, x = 60 + (600 * t) + (40 * Math.Cos(turn)), y = 190 - (90 * Math.Sin(turn)) - (40 * Math.Sin(turn / 3.5));
            double pen = 3 + (6 * Math.Max(0, Math.Sin(turn + (Math.PI / 2)) * -1));
            d.Fill(Circle(Math.Round(x, 3), Math.Round(y, 3), Math.Round(pen, 3)), color);
        }
    }

    private static void DrawContours(OrderDrawing d, Rgba8 color)
    {
        for (int k = 1; k <= 8; k++)
        {
            var data = new StringBuilder();
            for (int step = 0; step < 120; step++)
            {
                double turn = step * 2 * Math.PI / 120, far = (k * 32) * (0.85 + (0.3 * Noise(108, 100 + (60 * Math.Cos(turn)),
                    100 + (60 * Math.Sin(turn)), 40)));
                data.Append(string.Create(CultureInfo.InvariantCulture, $"{(step == 0
                    ? 'M' : 'L')}{340 + (far * Math.Cos(turn) * 1.1):0.###} {300 + (far * Math.Sin(turn)):0.###}"));
            }

            d.Stroke(data.Append('Z').ToString(), k % 4 == 0 ? 5 : 2, color);
        }
    }

    /// <summary>The center lines of a text along a circle; its feet stand on it.</summary>
    private static string Arc(string text, double x, double y, double radius, double height, double degrees, double gap = 0.4, bool below = false)
    {
        var placed = new StringBuilder();
        double wide = Lettering.WidthOf(text, gap) * height, across = 0;
        bool vertical = false;
        foreach (string word in Lettering.Text(text, 0, 0, height, gap).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (char.IsLetter(word[0]))
            {
                placed.Append(word).Append(' ');
            }
            else if (!vertical)
            {
                (across, vertical) = (double.Parse(word, CultureInfo.InvariantCulture), true);
            }
            else
            {
                double up = height - double.Parse(word, CultureInfo.InvariantCulture), far = below ? radius + height - up : radius + up;
                double turn = (degrees * Math.PI / 180) + ((across - (wide / 2)) / (radius + (height / 2)) * (below ? -1 : 1));
                placed.Append(string.Create(CultureInfo.InvariantCulture, $"{x + (far * Math.Cos(turn)):0.###} {y + (far * Math.Sin(turn)):0.###} "));
                vertical = false;
            }
        }

        return placed.ToString();
    }

    private static Rgba8 Between(Rgba8 one, Rgba8 other, double t)
    {
        t = Math.Clamp(t, 0, 1);
        return new Rgba8(Level(one.R + ((other.R - one.R) * t)), Level(one.G + ((other.G - one.G) * t)), Level(one.B + ((other.B - one.B) * t)));
    }
}

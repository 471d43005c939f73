namespace Recipes.Imaging.Tests;

/// <summary>White under strokes and shapes whose edges lie anywhere in a pixel, against supersampled geometry.</summary>
public class UnderbaseChokeTests
{
    private const int Side = 64, Samples = 16;

    // 0.2 mm at 300 ppi, and shorter and longer ones.
    private static readonly double[] Chokes = [1, 2.362, 4.5];

    private static readonly GarmentSetup Setup = new()
    {
        Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Underbase = Underbase.File, Ink = new InkRules { WhiteBare = true },
    };

    /// <summary>A stroke as wide as the choke keeps all of its white, and a wider one what a choke leaves, but never less.</summary>
    private static double Promised(double width, double choke) => Math.Max(width - (2 * choke), Math.Min(width, choke));

    [Theory]
    [InlineData(0, 0.03, 0.01)]
    [InlineData(7, 0.06, 0.03)]
    // Coverage tells where a slanted edge lies to a fifth of a px.
    [InlineData(30, 0.3, 0.15)]
    [InlineData(45, 0.45, 0.2)]
    public void A_wider_stroke_has_no_less_white(double degrees, double tolerance, double drop)
    {
        double dx = Math.Cos(degrees * Math.PI / 180), dy = Math.Sin(degrees * Math.PI / 180);
        for (double offset = 0; offset < 1; offset += 0.2)
        {
            double[] before = new double[Chokes.Length];
            for (double width = 1; width <= 13; width += 0.5)
            {
                var art = Draw((x, y) => Math.Abs(((x - 32 - offset) * dx) + ((y - 32) * dy)) <= width / 2, paper: false);
                foreach (var (i, choke) in Chokes.Index())
                {
                    // Along y where it isn't slanted; the white of the rows in the middle, by the length that they hold of it.
                    double laid = Laid(art, choke) * dx;
                    laid.ShouldBeGreaterThanOrEqualTo(before[i] - drop, $"{width} px at {offset}, {choke}");
                    laid.ShouldBe(Promised(width, choke), tolerance, $"{width} px at {offset}, {choke}");
                    before[i] = laid;
                }
            }
        }
    }

    // On paper that stays bare each pixel that prints is whole, mix or not.
    [Fact]
    public void On_paper_a_wider_stroke_has_no_less_white()
    {
        for (double offset = 0; offset < 1; offset += 0.2)
        {
            double[] before = new double[Chokes.Length];
            for (double width = 1; width <= 13; width += 0.5)
            {
                var art = Draw((x, _) => Math.Abs(x - 32 - offset) <= width / 2, paper: true);
                foreach (var (i, choke) in Chokes.Index())
                {
                    double laid = Laid(art, choke);
                    // A level of 255 is rounded in each of the pixels.
                    laid.ShouldBeGreaterThanOrEqualTo(before[i] - 0.01, $"{width} px at {offset}, {choke}");
                    before[i] = laid;
                }
            }
        }
    }

    [Fact]
    public void A_disc_is_choked_to_a_smaller_disc()
    {
        foreach (double choke in Chokes)
        {
            bool Disc(double x, double y, double radius) => ((x - 31.7) * (x - 31.7)) + ((y - 32.4) * (y - 32.4)) <= radius * radius;
            var laid = White(Draw((x, y) => Disc(x, y, 22), paper: false), choke);
            var smaller = Draw((x, y) => Disc(x, y, 22 - choke), paper: false);
            double off = 0, worst = 0;
            for (int i = 0; i < Side * Side; i++)
            {
                double difference = (laid[i % Side, i / Side] - smaller[i % Side, i / Side].A) / 255.0;
                off += difference;
                worst = Math.Max(worst, Math.Abs(difference));
            }

            // Coverage tells where a slanted edge lies to a fifth of a px, and a pixel's share of a slanted edge to a tenth.
            worst.ShouldBeLessThan(0.3);
            Math.Abs(off).ShouldBeLessThan(0.02 * Math.PI * 22 * 22);
        }
    }

    /// <summary>A stroke that leaves a body has its white right to the root, and one beside a body is no part of it.</summary>
    [Fact]
    public void A_stroke_keeps_its_white_at_a_body()
    {
        foreach (double gap in new[] { 0, 1.5 })
        {
            var laid = White(
                Draw((x, y) => (x is >= 4 and < 30 && y is >= 10 and < 54) || (x >= 30 + gap && x < 60 && y is >= 31 and < 33), paper: false), 2.362);
            for (int x = 33; x < 58; x++)
            {
                Enumerable.Range(29, 6).Sum(y => laid[x, y] / 255.0).ShouldBe(2, 0.02, $"{x}, {gap}");
            }

            // The body's own edges are choked.
            laid[4, 20].ShouldBe((byte)0);
            laid[6, 20].ShouldBeInRange((byte)155, (byte)170);
        }
    }

    [Fact]
    public void Tiles_make_no_difference()
    {
        bool Figure(double x, double y) =>
            ((x * x) + (y * y) is <= 400 and >= 300) || Math.Abs(x - (0.3 * y)) <= 1.2 || Math.Abs(y + (0.2 * x)) <= 2.9;
        Rgba8[] pixels = [.. Draw((x, y) => Figure(x - 32, y - 32), paper: false).ToContiguous()];
        var alone = White(Plane<Rgba8>.FromContiguous(Side, Side, pixels), 2.362);
        // The same in the middle of four tiles.
        var large = Enumerable.Repeat(Rgba8.ClearWhite, 256 * 256).ToArray();
        for (int i = 0; i < pixels.Length; i++)
        {
            large[((96 + (i / Side)) * 256) + 96 + (i % Side)] = pixels[i];
        }

        var among = White(Plane<Rgba8>.FromContiguous(256, 256, large), 2.362);
        for (int i = 0; i < pixels.Length; i++)
        {
            // Where the figure runs off the small picture, its edge is there.
            if (i % Side is >= 16 and < 48 && i / Side is >= 16 and < 48)
            {
                among[96 + (i % Side), 96 + (i / Side)].ShouldBe(alone[i % Side, i / Side]);
            }
        }
    }

    private static double Laid(Plane<Rgba8> art, double choke)
    {
        var white = White(art, choke);
        double sum = 0;
        for (int y = 24; y < 40; y++)
        {
            for (int x = 0; x < Side; x++)
            {
                sum += white[x, y];
            }
        }

        return sum / 255 / 16;
    }

    private static Plane<byte> White(Plane<Rgba8> art, double choke) => WhiteUnderbase.Of(art, Setup, choke);

    // Orange, by 16 x 16 samples a px.
    private static Plane<Rgba8> Draw(Func<double, double, bool> inside, bool paper)
    {
        var pixels = new Rgba8[Side * Side];
        for (int i = 0; i < pixels.Length; i++)
        {
            int hits = 0;
            for (int k = 0; k < Samples * Samples; k++)
            {
                hits += inside((i % Side) + (((k % Samples) + 0.5) / Samples), (i / Side) + (((k / Samples) + 0.5) / Samples)) ? 1 : 0;
            }

            double share = hits / (double)(Samples * Samples);
            pixels[i] = paper ? new Rgba8(Mix(240), Mix(124), Mix(28)) : hits == 0 ? Rgba8.ClearWhite : new Rgba8(240, 124, 28, (byte)Math.Round(255 * share));

            byte Mix(int ink) => (byte)Math.Round((ink * share) + (255 * (1 - share)));
        }

        return Plane<Rgba8>.FromContiguous(Side, Side, pixels);
    }
}

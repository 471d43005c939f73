using CsCheck;

namespace Recipes.Imaging.Tests.Resampling;

/// <summary>Resampling against a plain convolution written anew here, and its laws about white and black.</summary>
public class ResampleTests
{
    private static readonly Rgba8[] Few = [Rgba8.White, Rgba8.Black, new(240, 124, 28), new(255, 255, 200), default, Rgba8.ClearWhite, new(34, 92, 140, 90)];

    private static readonly Gen<(int Width, int Height, Rgba8[] Pixels, int NewWidth, int NewHeight)> Cases =
        from width in Gen.Int[1, 24]
        from height in Gen.Int[1, 24]
        from newWidth in Gen.Int[1, 60]
        from newHeight in Gen.Int[1, 60]
        from pixels in Gen.OneOf(
            Gen.Int[0, Few.Length - 1].Select(i => Few[i]),
            Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b, a) => new Rgba8(r, g, b, a)),
            Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b) => new Rgba8(r, g, b))).Array[width * height]
        select (width, height, pixels, newWidth, newHeight);

    private static bool NearWhite(Rgba8 p) => p.A > 0 && Math.Min(p.R, Math.Min(p.G, p.B)) >= 255 - 23;

    private static bool NearBlack(Rgba8 p) => p.A > 0 && Math.Max(p.R, Math.Max(p.G, p.B)) <= 23;

    private static Rgba8[] Resampled(int width, int height, Rgba8[] pixels, int newWidth, int newHeight) =>
        Resample.To(Plane<Rgba8>.FromContiguous(width, height, pixels), newWidth, newHeight).ToContiguous();

    // The scalar twin: the same sums in single precision, a channel at a time and without tiles or vectors. Equal to the last bit.
    [Fact]
    public void Vectors_and_bands_give_what_plain_loops_give() =>
        Cases.Holds(art => Resampled(art.Width, art.Height, art.Pixels, art.NewWidth, art.NewHeight)
            .ShouldBe(Plain(art.Width, art.Height, art.Pixels, art.NewWidth, art.NewHeight, exact: false).Select(result => result.Pixel)), iter: 150);

    [Fact]
    public void Larger_art_crosses_tiles_as_plain_loops_do()
    {
        var pixels = new Rgba8[200 * 170];
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = i % 200, y = i / 200;
            pixels[i] = (x / 7 % 3, y / 5 % 2) switch { (0, 0) => Rgba8.White, (1, _) => new Rgba8((byte)x, (byte)y, 140), _ => new Rgba8(0, 0, 0, (byte)(x + y > 300 ? 0 : 255)) };
        }

        Resampled(200, 170, pixels, 301, 260).ShouldBe(Plain(200, 170, pixels, 301, 260, exact: false).Select(result => result.Pixel));
        Resampled(200, 170, pixels, 131, 257).ShouldBe(Plain(200, 170, pixels, 131, 257, exact: false).Select(result => result.Pixel));
    }

    // By definition: a part is what the whole has there. Parts of a whole that is far larger than any picture take no more.
    [Fact]
    public void A_part_is_cut_out_of_the_whole()
    {
        var pixels = Plane<Rgba8>.FromContiguous(200, 170,
            (Rgba8[])[.. Enumerable.Range(0, 200 * 170).Select(i => Few[(i % 200 / 7 + i / 200 / 5) % Few.Length])]);
        foreach (var (width, height, part) in ((int, int, Box)[])
            [(301, 260, new(0, 0, 301, 260)), (301, 260, new(37, 140, 200, 90)), (131, 257, new(130, 256, 1, 1)), (200, 170, new(5, 6, 150, 160))])
        {
            var whole = Resample.To(pixels, width, height);
            Resample.Part(pixels, width, height, part).ToContiguous()
                .ShouldBe(Crop.Of(whole, part).ToContiguous(), $"{width} x {height}, {part}");
        }

        // The middle of a square of 7 x 5 px, magnified.
        Resample.Part(pixels, 2_000_000, 1_700_000, new Box(1_014_000, 824_000, 60, 20)).ToContiguous().Distinct().ShouldBe([pixels[101, 82]]);
        Should.Throw<ArgumentException>(() => Resample.Part(pixels, 301, 260, new Box(300, 0, 2, 2)));
    }

    // In double precision with the transfer function of IEC 61966-2-1 itself, wherever no rule of ours is in play.
    [Fact]
    public void Where_no_rule_steps_in_it_is_the_convolution_within_a_level()
    {
        int compared = 0;
        Cases.Holds(art =>
        {
            var made = Resampled(art.Width, art.Height, art.Pixels, art.NewWidth, art.NewHeight);
            var plain = Plain(art.Width, art.Height, art.Pixels, art.NewWidth, art.NewHeight, exact: true);
            for (int i = 0; i < made.Length; i++)
            {
                if (!plain[i].Ruled && plain[i].Pixel.A > 16)
                {
                    compared++;
                    made[i].LargestDifference(plain[i].Pixel).ShouldBeLessThanOrEqualTo(1);
                }
            }
        }, iter: 100);
        compared.ShouldBeGreaterThan(10_000);
    }

    [Fact]
    public void Near_and_pure_white_and_black_come_only_from_pixels_that_are() =>
        Cases.Holds(art =>
        {
            var made = Resampled(art.Width, art.Height, art.Pixels, art.NewWidth, art.NewHeight);
            bool near = art.Pixels.Any(p => NearWhite(p) && !p.IsPureWhite), white = art.Pixels.Any(p => p.IsPureWhite);
            bool dark = art.Pixels.Any(p => NearBlack(p) && !p.IsPureBlack), black = art.Pixels.Any(p => p.IsPureBlack);
            foreach (var p in made)
            {
                (p.IsPureWhite ? white : !NearWhite(p) || near).ShouldBeTrue($"{p}");
                (p.IsPureBlack ? black : !NearBlack(p) || dark).ShouldBeTrue($"{p}");
            }
        }, iter: 300);

    // The trade's figures: doubled by this kernel a white side becomes 247 and 253 and a black side 2 and 8.
    [Theory]
    [InlineData(80, 80)]
    [InlineData(97, 61)]
    [InlineData(20, 20)]
    [InlineData(13, 33)]
    public void An_edge_between_white_and_black_leaves_both_sides_pure(int width, int height)
    {
        var pixels = new Rgba8[40 * 40];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = i % 40 < 20 ? Rgba8.White : Rgba8.Black;
        }

        var made = Resampled(40, 40, pixels, width, height);
        for (int i = 0; i < made.Length; i++)
        {
            double at = (i % width + 0.5) * 40 / width, reach = Math.Max(1, 40.0 / width);
            if (Math.Abs(at - 20) >= reach + 0.5)
            {
                made[i].ShouldBe(at < 20 ? Rgba8.White : Rgba8.Black, $"{i % width}");
            }

            (made[i].IsPureWhite || made[i].IsPureBlack || (!NearWhite(made[i]) && !NearBlack(made[i]))).ShouldBeTrue($"{made[i]}");
        }
    }

    [Fact]
    public void A_printable_white_beside_white_stays_printable()
    {
        var printable = new Rgba8(254, 254, 254);
        var pixels = new Rgba8[30 * 30];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = (i % 30, i / 30) is ( >= 10 and < 20, >= 10 and < 20) ? printable : new Rgba8(34, 92, 140);
        }

        foreach (var p in Resampled(30, 30, pixels, 77, 64))
        {
            p.IsPureWhite.ShouldBeFalse();
        }

        Resampled(30, 30, pixels, 90, 90)[(45 * 90) + 45].ShouldBe(printable);
    }

    [Fact]
    public void Colors_keep_to_the_edge_of_transparency()
    {
        var orange = new Rgba8(240, 124, 28);
        var pixels = new Rgba8[24 * 24];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = i % 24 < 12 ? orange : new Rgba8(0, 255, 0, 0);
        }

        foreach (var p in Resampled(24, 24, pixels, 71, 50))
        {
            (p.A == 0 || p.WithAlpha(255) == orange).ShouldBeTrue($"{p}");
        }
    }

    [Fact]
    public void Its_own_size_is_the_same_object()
    {
        var art = Plane<Rgba8>.OneValue(30, 20, Rgba8.White);
        Resample.To(art, 30, 20).ShouldBeSameAs(art);
    }

    // Written from the description alone. exact: double precision and the formula instead of tables; then Ruled says
    // whether a rule about ranges, white or black decided.
    private static (Rgba8 Pixel, bool Ruled)[] Plain(int width, int height, Rgba8[] art, int newWidth, int newHeight, bool exact)
    {
        Lanczos3 across = new(width, newWidth), down = new(height, newHeight);
        float[] codes = [.. Enumerable.Range(0, 256).Select(code => (float)Math.Round(Srgb.ToLinear((byte)code), 9))];
        float[] begins = [.. Enumerable.Range(0, 256).Select(code => code == 0 ? float.NegativeInfinity : (float)Math.Round(Srgb.ToLinear((code - 0.5) / 255), 9))];
        var result = new (Rgba8, bool)[newWidth * newHeight];
        for (int y = 0; y < newHeight; y++)
        {
            for (int x = 0; x < newWidth; x++)
            {
                var (h, v) = (across[x], down[y]);
                var sums = new double[4];
                for (int channel = 0; channel < 4; channel++)
                {
                    float single = 0;
                    double real = 0;
                    for (int j = 0; j < v.Weights.Length; j++)
                    {
                        float line = 0;
                        double realLine = 0;
                        for (int k = 0; k < h.Weights.Length; k++)
                        {
                            var p = art[((v.First + j) * width) + h.First + k];
                            byte code = channel switch { 0 => p.R, 1 => p.G, _ => p.B };
                            float alpha = p.A / 255f;
                            line += (channel == 3 ? alpha : codes[code] * alpha) * h.Weights[k];
                            realLine += (channel == 3 ? p.A / 255.0 : Srgb.ToLinear(code / 255.0) * p.A / 255) * h.Weights[k];
                        }

                        single += line * v.Weights[j];
                        real += realLine * v.Weights[j];
                    }

                    sums[channel] = exact ? real : single;
                }

                var inner = new List<Rgba8>();
                for (int j = 0; j < v.InnerCount; j++)
                {
                    for (int k = 0; k < h.InnerCount; k++)
                    {
                        inner.Add(art[((v.InnerFirst + j) * width) + h.InnerFirst + k]);
                    }
                }

                var nearest = art[(v.Nearest * width) + h.Nearest];
                result[(y * newWidth) + x] = Clean(sums, inner, nearest);
            }
        }

        return result;

        (Rgba8, bool) Clean(double[] sums, List<Rgba8> inner, Rgba8 nearest)
        {
            if (inner.All(p => p.A == 0))
            {
                return (nearest, true);
            }

            if (inner.Distinct().Count() == 1)
            {
                return (inner[0], true);
            }

            Rgba8[] colored = [.. inner.Where(p => p.A > 0)];
            double level = exact ? sums[3] * 255 : (float)sums[3] * 255f;
            int rounded = exact ? (int)Math.Floor(level + 0.5) : (int)MathF.Floor((float)level + 0.5f);
            int a = Math.Clamp(rounded, inner.Min(p => p.A), inner.Max(p => p.A));
            if (a == 0)
            {
                return (nearest.WithAlpha(0), true);
            }

            bool ruled = a != rounded;
            Rgba8 low = new(colored.Min(p => p.R), colored.Min(p => p.G), colored.Min(p => p.B)), high = new(colored.Max(p => p.R), colored.Max(p => p.G), colored.Max(p => p.B));
            Rgba8 color;
            if ((exact ? sums[3] * 510 : (float)sums[3] * 510) < 1)
            {
                color = nearest.A == 0 ? low : nearest;
                ruled = true;
            }
            else
            {
                color = new Rgba8(Channel(0, low.R, high.R), Channel(1, low.G, high.G), Channel(2, low.B, high.B));
            }

            foreach (var (pure, near, step) in new[] { (Rgba8.White, (Func<Rgba8, bool>)NearWhite, 231), (Rgba8.Black, NearBlack, 24) })
            {
                color = color.WithAlpha(255);
                if (!near(color))
                {
                    continue;
                }

                bool hasPure = colored.Any(p => p.WithAlpha(255) == pure), hasNear = colored.Any(p => near(p) && p.WithAlpha(255) != pure);
                if (color == pure ? !hasPure : !hasNear)
                {
                    ruled = true;
                    color = color != pure && hasPure ? pure : nearest.A == 0 ? Moved(color, step) : nearest;
                }

                break;
            }

            return (color.WithAlpha((byte)a), ruled);

            // The channel that is farthest from pure goes to the first level that isn't near.
            static Rgba8 Moved(Rgba8 color, int step)
            {
                byte[] channels = [color.R, color.G, color.B];
                channels[Array.IndexOf(channels, step > 128 ? channels.Min() : channels.Max())] = (byte)step;
                return new Rgba8(channels[0], channels[1], channels[2]);
            }

            byte Channel(int channel, byte least, byte most)
            {
                int code = exact
                    ? (int)Math.Floor((Srgb.FromLinear(sums[channel] / sums[3]) * 255) + 0.5)
                    : Math.Max(0, Array.FindLastIndex(begins, begin => (float)sums[channel] / (float)sums[3] >= begin));
                ruled |= code < least || code > most;
                return (byte)Math.Clamp(code, (int)least, most);
            }
        }
    }
}

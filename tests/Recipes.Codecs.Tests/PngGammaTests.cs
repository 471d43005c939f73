using Recipes.Imaging;

namespace Recipes.Codecs.Tests;

/// <summary>What a PNG file's gAMA chunk states, from linear light twice over to three times the usual encoding.</summary>
public class PngGammaTests
{
    // PNG 3rd edition, 13.13: a sample stands for the light sample^(1 / gamma); IEC 61966-2-1 gives the level of sRGB that stands for it. At 0.45455 and
    // next to it the curve is taken for sRGB's own, which writers mean by it (11.3.2.5).
    public static TheoryData<double, int, int> Gammas
    {
        get
        {
            var data = new TheoryData<double, int, int>();
            foreach (double gamma in (double[])[0.3, 0.35, 0.4, 0.42, 0.5, 0.55556, 0.6, 0.8, 1, 1.25, 1.5, 2, 2.2, 2.5, 3])
            {
                foreach (int depth in (int[])[8, 16])
                {
                    foreach (int type in (int[])[0, 2, 4, 6])
                    {
                        data.Add(gamma, depth, type);
                    }
                }
            }

            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Gammas))]
    public void A_stated_gamma_gives_the_light_that_it_stands_for(double gamma, int depth, int type)
    {
        Oracle.Require();
        int channels = type switch { 0 => 1, 4 => 2, 2 => 3, _ => 4 };
        foreach (uint[] primaries in (uint[][])[[], [31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000]])
        {
            var png = new TestPng(256, 1, depth, type)
            {
                Early =
                [
                    TestPng.Chunk("gAMA", TestPng.Words((uint)Math.Round(gamma * 100_000))),
                    .. primaries.Length == 0 ? Array.Empty<byte[]>() : [TestPng.Chunk("cHRM", TestPng.Words(primaries))],
                ],
                // Opaque: alpha is no light.
                Rows = [[.. Enumerable.Range(0, 256).SelectMany(level => Enumerable.Range(0, channels).SelectMany(channel =>
                    Enumerable.Repeat(channel == channels - 1 && type >= 4 ? (byte)255 : (byte)level, depth / 8)))]],
            };
            var art = Oracle.Decode(png.Bytes());
            for (int level = 0; level < 256; level++)
            {
                double light = Math.Pow(level / 255.0, 1 / gamma);
                double due = 255 * (light <= 0.0031308 ? 12.92 * light : (1.055 * Math.Pow(light, 1 / 2.4)) - 0.055);
                var pixel = art.Pixels[level, 0];
                foreach (byte channel in (byte[])[pixel.R, pixel.G, pixel.B])
                {
                    Math.Abs(channel - due).ShouldBeLessThanOrEqualTo(0.51, $"{level}: {pixel}");
                }
            }

            (art.Pixels[0, 0], art.Pixels[255, 0]).ShouldBe((Rgba8.Black, Rgba8.White));
        }
    }
}

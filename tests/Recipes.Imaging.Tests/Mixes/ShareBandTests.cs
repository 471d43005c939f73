namespace Recipes.Imaging.Tests.Mixes;

/// <summary>SharedColor looks at a large picture band by band.</summary>
public class ShareBandTests
{
    private const int Width = 120, Height = 200;
    private static readonly Rgba8 Old = new(200, 30, 40), Sea = new(40, 120, 160), Sand = new(225, 205, 160);

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    public void Bands_give_what_the_whole_gives(int noise)
    {
        // Stripes of three colors at every slant, with soft edges, lines among them; with noise as a JPEG has it.
        var random = new Random(5);
        var pixels = Enumerable.Range(0, Width * Height).Select(i =>
        {
            int x = i % Width, y = i / Width;
            double share = Math.Clamp(1.5 - (Math.Abs((y % 17) - 8 - (x % 20 * 0.1)) * (1 + (x / 60))), 0, 1);
            var color = (x / 20 % 3) switch { 0 => Old, 1 => Sea, _ => Sand };
            return new Rgba8(At(255, color.R), At(255, color.G), At(255, color.B));

            byte At(byte from, byte to) => (byte)Math.Clamp(Math.Round(from + (share * (to - from))) + random.Next(-noise, noise + 1), 0, 255);
        }).ToArray();
        var art = Plane<Rgba8>.FromContiguous(Width, Height, pixels);
        byte[] whole = ColorShare.Of(art, Old, 3, Height).ToContiguous();
        whole.Count(share => share is > 0 and < 255).ShouldBeGreaterThan(100);
        foreach (int rows in (int[])[1, 7, 33, Height - 1])
        {
            ColorShare.Of(art, Old, 3, rows).ToContiguous().ShouldBe(whole, $"{rows} rows");
        }
    }
}

namespace Recipes.Imaging.Tests.Mixes;

/// <summary>SharedColor on a block of the color that lies on a gradient: what the gradient is made of isn't the color.</summary>
public class ShareGradientTests
{
    private const int Width = 100, Height = 60;
    private static readonly Rgba8 Old = new(200, 30, 40);

    // A pixel of a gradient toward the color lies on the way from the color to the next step of the gradient, as a mix would.
    [Theory]
    [InlineData(250, 240, 240, 228, 142, 147)]
    [InlineData(255, 255, 255, 233, 165, 169)]
    [InlineData(150, 150, 150, 40, 120, 160)]
    public void A_gradient_beside_the_color_holds_none_of_it(byte r1, byte g1, byte b1, byte r2, byte g2, byte b2)
    {
        var pixels = Enumerable.Range(0, Width * Height).Select(i => IsBlock(i) ? Old
            : new Rgba8(At(r1, r2, i / Width), At(g1, g2, i / Width), At(b1, b2, i / Width))).ToArray();
        byte[] share = SharedColor.ShareOf(Plane<Rgba8>.FromContiguous(Width, Height, pixels), Old, 3).Coverage.ToContiguous();
        for (int i = 0; i < share.Length; i++)
        {
            ((int)share[i]).ShouldBe(IsBlock(i) ? 255 : 0, $"{i % Width}, {i / Width}");
        }

        static bool IsBlock(int i) => i % Width is > 30 and < 70 && i / Width is > 20 and < 40;
        static byte At(byte from, byte to, int y) => (byte)Math.Round(from + ((to - from) * y / (double)Height), MidpointRounding.AwayFromZero);
    }
}

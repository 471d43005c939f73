namespace Recipes.Imaging;

/// <summary>A question about one pixel; as a struct the compiler resolves it without a call.</summary>
internal interface IPixelTest
{
    bool Holds(Rgba8 pixel);
}

/// <summary>Asks a costly question about color once per distinct color, and never of transparent pixels.</summary>
internal readonly struct MemoTest(Func<Rgba8, bool> question) : IPixelTest
{
    // One byte for every 24-bit color: 0 not asked yet, 1 no, 2 yes. Two threads may ask the same question and write the
    // same answer, which is harmless.
    private readonly byte[] answers = new byte[1 << 24];

    public bool Holds(Rgba8 pixel)
    {
        if (pixel.A == 0)
        {
            return false;
        }

        ref byte answer = ref answers[(pixel.R << 16) | (pixel.G << 8) | pixel.B];
        if (answer == 0)
        {
            answer = question(pixel) ? (byte)2 : (byte)1;
        }

        return answer == 2;
    }
}

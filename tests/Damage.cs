namespace Recipes.Tests;

/// <summary>One small change of bytes, for tests that feed damaged data to readers.</summary>
internal static class Damage
{
    /// <summary>Changes a byte or a bit, or takes out or doubles a piece of fewer bytes than <paramref name="piece"/>.</summary>
    public static void Do(List<byte> bytes, int at, int piece, Random random)
    {
        switch (random.Next(5))
        {
            case 0:
                bytes[at] = (byte)random.Next(256);
                break;
            case 1:
                bytes[at] ^= (byte)(1 << random.Next(8));
                break;
            case 2:
                bytes[at] = random.Next(2) == 0 ? (byte)0 : (byte)255;
                break;
            case 3:
                bytes.RemoveRange(at, Math.Min(random.Next(1, piece), bytes.Count - at));
                break;
            default:
                bytes.InsertRange(at, bytes.GetRange(at, Math.Min(random.Next(1, piece), bytes.Count - at)));
                break;
        }
    }
}

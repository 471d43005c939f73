using System.Text;

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

    /// <summary>One to three such changes, or pieces of JSON put in, of which readers hold most of their own.</summary>
    public static List<byte> OfJson(byte[] good, Random random)
    {
        string[] pieces =
            ["null", "-1", "1e999", "[]", "{}", "\"\u0000\"", "true", "\"#ffffff\"", ",", "}", "{", "\\ud800", "99999999999999999999", "\"name\":1,"];
        var bytes = good.ToList();
        for (int n = random.Next(1, 4); n > 0 && bytes.Count > 0; n--)
        {
            int at = random.Next(bytes.Count);
            if (random.Next(4) > 0)
            {
                Do(bytes, at, 40, random);
            }
            else
            {
                bytes.InsertRange(at, Encoding.UTF8.GetBytes(pieces[random.Next(pieces.Length)]));
            }
        }

        return bytes;
    }
}

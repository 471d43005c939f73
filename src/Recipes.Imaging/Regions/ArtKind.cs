namespace Recipes.Imaging;

/// <summary>What kind of art a picture is, judged by how it says what lies outside the figure.</summary>
public enum ArtKind
{
    /// <summary>Alpha says what is outside: opaque white is art, whatever it touches, also where it was trimmed to its box.</summary>
    CutOut,

    /// <summary>The figure lies on paper of one light color that fills most of the border.</summary>
    OnPaper,

    /// <summary>The picture runs off on all sides and has no paper.</summary>
    FullFrame,

    /// <summary>Partly paper at the border and partly picture; behaves as on paper, and is asked about.</summary>
    Mixed,
}

package kit

// Caution is said wherever the program's numbers may be acted upon.
const Caution = "Not a medical device. Pain or injury: stop, and see a licensed professional. A coach's judgement comes first."
